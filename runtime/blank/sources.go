package blank

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// role says what a source curve belongs to.
type role uint8

const (
	panelEdge role = iota
	windowEdge
	workPath
	hingeStretch
)

// owner names what a source curve is part of: by role, the number of the
// panel, window, work or hinge in the sources' lists.
type owner struct {
	role  role
	index int
}

// sources is all the line work of a piece as the model tells it, in the blank
// frame and with nothing merged yet.
type sources struct {
	panels  []*model.Panel
	windows []*model.Window
	works   []*model.Work
	hinges  []*model.Hinge

	outlines []geom.Path // of the panels
	crowded  []bool      // by panel: left out, with all work on it
	curves   []geom.Curve
	owners   []owner    // of the curves
	carried  []carriage // by curve
}

// carriage says which hinge runs all along a curve, and whether it runs the
// other way; hinge is −1 for none.
type carriage struct {
	hinge   int
	against bool
}

// gather lists a piece's curves: outlines first, as they give what coincides
// with them its geometry, then windows, works and the hinges' stretches.
func gather(ctx context.Context, piece *model.Piece) *sources {
	s := &sources{panels: piece.Panels, hinges: piece.Hinges}
	for i, p := range s.panels {
		if ended(ctx, i) {
			break
		}
		s.outlines = append(s.outlines, p.Outline.Transform(p.Flat))
	}
	s.crowded = crowded(ctx, s.outlines)
	if ctx.Err() != nil {
		return s
	}
	firstEdge := make(map[*model.Panel]int, len(s.panels))
	for i, p := range s.panels {
		if s.crowded[i] {
			continue
		}
		firstEdge[p] = len(s.curves)
		s.add(owner{panelEdge, i}, s.outlines[i])
		s.windows = append(s.windows, p.Windows...)
		s.works = append(s.works, p.Works...)
	}
	for i, w := range s.windows {
		s.add(owner{windowEdge, i}, w.Outline.Transform(w.Panel.Flat))
	}
	for i, w := range s.works {
		s.add(owner{workPath, i}, w.Path.Transform(w.Panel.Flat))
	}
	for i, h := range s.hinges {
		if first, ok := firstEdge[h.Child]; ok {
			s.addHinge(i, h, first+h.By.Index)
		}
	}
	return s
}

// addHinge notes that a hinge runs all along the child's edge that it hangs
// by, as most do, or lists its stretch: that splits the line work where the
// hinge ends.
func (s *sources) addHinge(i int, h *model.Hinge, edge int) {
	stretch := h.Curve.Transform(h.Parent.Flat)
	along, back := s.curves[edge], s.curves[edge].Reverse()
	switch {
	case s.carried[edge].hinge >= 0:
	case sameEnds(along, stretch):
		s.carried[edge] = carriage{hinge: i}
		return
	case sameEnds(back, stretch):
		s.carried[edge] = carriage{hinge: i, against: true}
		return
	}
	s.curves = append(s.curves, stretch)
	s.owners = append(s.owners, owner{hingeStretch, i})
	s.carried = append(s.carried, carriage{hinge: i})
}

// sameEnds reports whether two curves start together and end together.
func sameEnds(a, b geom.Curve) bool {
	return a.P.Dist(b.P) <= geom.SnapTolerance && a.Q.Dist(b.Q) <= geom.SnapTolerance
}

// add lists the curves of a path in the blank.
func (s *sources) add(o owner, path geom.Path) {
	for _, e := range path.Edges {
		s.curves = append(s.curves, e.Curve)
		s.owners = append(s.owners, o)
		s.carried = append(s.carried, carriage{hinge: -1})
	}
}

// hangsIn reports whether p stands in window w: it, or one it hangs from,
// hangs on an edge of the opening.
func hangsIn(p *model.Panel, w *model.Window) bool {
	for in := p.In; in != nil; in = in.Panel.In {
		if in == w {
			return true
		}
	}
	return false
}
