package toolpath

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// waste knows where on the bed board falls away: outside of the piece and in its holes.
type waste struct {
	room   geom.Box     // where lines may lie, so that the axis stays on the bed
	piece  geom.Box     // box of the boundaries
	rims   []geom.Curve // boundaries of the piece's board
	index  *geom.WindingIndex
	lines  []geom.Curve // all lines, rims among them
	tree   *geom.BoxTree
	places []place
}

// place is a place on a rim, from which out leads into waste.
type place struct{ at, out geom.Point }

// newWaste takes the lines of all passes, as they lie.
func (p *Program) newWaste() *waste {
	w := &waste{piece: geom.EmptyBox()}
	m := p.Machine
	edge := m.Margin + m.Reach()
	w.room = geom.BoxOf(geom.Pt(edge, edge), geom.Pt(m.Bed[0]-edge, m.Bed[1]-edge))
	var boxes []geom.Box
	for _, pass := range p.Passes {
		for _, s := range pass.Strokes {
			for _, c := range s.curves() {
				w.lines, boxes = append(w.lines, c), append(boxes, c.Bounds())
				if s.side != 0 {
					w.rim(c, s.side)
				}
			}
		}
	}
	for _, c := range p.shared {
		w.rim(c, 1)
	}
	w.index, w.tree = geom.NewWindingIndex(w.rims), geom.NewBoxTree(boxes)
	return w
}

// rim adds a curve with board on one side: 1 left, −1 right.
func (w *waste) rim(c geom.Curve, side int) {
	w.rims = append(w.rims, c)
	w.piece = w.piece.Union(c.Bounds())
	for _, t := range [...]float64{0.5, 0.25, 0.75} {
		w.places = append(w.places, place{c.At(t), c.Tangent(t).Left().Mul(-float64(side))})
	}
}

// holds reports whether a way into a line lies in waste and on the bed: it begins there, clear of all lines
// by more than clear mm, and meets none before its end.
func (w *waste) holds(way geom.Curve, clear float64) bool {
	if !w.inRoom(way.Bounds()) || w.index.About(way.P) != 0 || w.near(geom.LineFrom(way.P, way.P), clear) {
		return false
	}
	// At its end the way runs along the line within SnapTolerance for √(2·R·SnapTolerance), twice that
	// where the line bends the same way half as much.
	end := endsNear + 2*math.Sqrt(2*way.R*geom.SnapTolerance)
	for _, k := range w.tree.Intersecting(way.Bounds(), nil) {
		for _, x := range geom.Intersect(way, w.lines[k]) {
			if way.At(x.A0).Dist(way.Q) > end {
				return false
			}
		}
	}
	return true
}

// inRoom reports whether a box lies where lines may lie, but for rounding.
func (w *waste) inRoom(b geom.Box) bool {
	room := w.room.Grow(geom.Tiny)
	return room.Contains(b.Min) && room.Contains(b.Max)
}

// near reports whether a straight way comes nearer than clear mm to any line.
func (w *waste) near(way geom.Curve, clear float64) bool {
	for _, k := range w.tree.Intersecting(way.Bounds().Grow(clear), nil) {
		c := w.lines[k]
		if _, d := c.Nearest(way.P); d < clear {
			return true
		}
		if way.P == way.Q {
			continue
		}
		n := math.Ceil(way.Length() / clear)
		for i := 1.0; i <= n; i++ {
			// Half a step further off than asked for, so that nothing between the steps is missed.
			if _, d := c.Nearest(way.At(i / n)); d < math.Hypot(clear, clear/2) {
				return true
			}
		}
	}
	return false
}

// alignBeside is how much board, in mm, is left between the piece and what a blade may cut that is turned its way.
const alignBeside = 0.5

// straight is a straight way of the given length in waste, so far from all lines that a
// blade of the given offset cuts none whichever way it points: near the piece's own box rather than beside it, where
// the sheet may end, then near to a place. It runs along the rim that it is beside.
func (w *waste) straight(length, offset float64, to geom.Point) (geom.Curve, bool) {
	clear := offset + alignBeside
	best, found, least := geom.Curve{}, false, math.Inf(1)
	for _, p := range w.places {
		for _, off := range [...]float64{1.2, 2.5} {
			middle := p.at.Add(p.out.Mul(off * clear))
			half := p.out.Left().Mul(length / 2)
			for _, way := range [...]geom.Curve{geom.LineFrom(middle.Sub(half), middle.Add(half)), geom.LineFrom(middle.Add(half), middle.Sub(half))} {
				score := way.Q.Dist(to)
				if box := way.Bounds(); !w.piece.Contains(box.Min) || !w.piece.Contains(box.Max) {
					score += math.Hypot(w.piece.Width(), w.piece.Height())
				}
				if score >= least || !w.inRoom(way.Bounds()) || w.index.About(way.P) != 0 || w.near(way, clear) {
					continue
				}
				best, found, least = way, true, score
			}
		}
	}
	return best, found
}
