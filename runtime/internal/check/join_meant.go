package check

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// meantEdge is the edge along which a tab's hinge comes to lie, when that is not
// the one it was to meet: the one that was meant, most likely.
func meantEdge(p state, j *model.Join) (meant model.EdgeRef, ok bool) {
	tab := j.A.Panel
	if j.Kind != model.TabJoin || j.B.Edge == nil {
		return meant, false
	}
	place := p.Placements
	at := place[slices.Index(p.Piece.Panels, tab.Hang.Parent)]
	if !at.OK {
		return meant, false
	}
	a, b := at.Apply(tab.Hang.Curve.P.Space()), at.Apply(tab.Hang.Curve.Q.Space())
	nearest := gapLimit
	for k, q := range p.Piece.Panels {
		if q == tab || q == tab.Hang.Parent || q.Role == model.TabRole || !place[k].OK {
			continue
		}
		for i, e := range q.Outline.Edges {
			target := j.B.Edge.Window == nil && q == j.B.Panel && i == j.B.Edge.Index
			if e.Kind != geom.Line || target || q.Hang != nil && q.Hang.By.Window == nil && q.Hang.By.Index == i {
				continue
			}
			from, to := place[k].Apply(e.P.Space()), place[k].Apply(e.Q.Space())
			edge := contact.Segment{P: from, Q: to}
			if far := max(edge.Distance(a), edge.Distance(b)); far <= nearest {
				nearest, ok = far, true
				meant = model.EdgeRef{Panel: q, Name: e.Name, Index: i, To: e.Length()}
			}
		}
	}
	return meant, ok
}
