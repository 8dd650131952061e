package check

import (
	"iter"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// panelsLayered notes panels that lie on one another and are not glued, nor
// folded on one another.
var panelsLayered = Rule{
	ID: "panels-layered", Severity: diag.Note, Title: "two panels lie on one another in a pose",
	pairs: &pairRule{list: func(s state) iter.Seq[pairFound] {
		return func(yield func(pairFound) bool) {
			for l := range s.Layers() {
				if !l.Glued && !l.Hinged && !yield(pairFound{int32(l.A), int32(l.B), l.Area}) {
					return
				}
			}
		}
	}, tell: layerFound},
}

func layerFound(s state, q pairFound) Found {
	a, b := s.pair(int(q.a), int(q.b))
	f := foundf(b.Site, []*model.Panel{b, a}, "panels %q and %q lie on one another over %.0f mm² in pose %q",
		b.Name, a.Name, q.weight, s.name()).
		in(s.Pose, "").
		relate(a.Site, "panel %q", a.Name)
	_, at := s.Spot(simulate.Layer{A: int(q.a), B: int(q.b)})
	f.At = &at
	return f
}
