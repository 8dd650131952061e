package scene

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// crossings lists where two panels pierce each other deeper than a touch.
func (s *stage) crossings() []stroke {
	var out []stroke
	for _, f := range s.faces {
		for _, g := range f.near {
			if g.board.index < f.board.index && !s.mayPierce(f.board, g.board) {
				out = append(out, s.crossing(f, g)...)
			}
		}
	}
	return out
}

// mayPierce reports whether two panels are meant to pass through each other: a
// tuck goes through its opening, which may be a bare slit.
func (s *stage) mayPierce(a, b *sheet) bool {
	for _, j := range s.in.Blank.Piece.Joins {
		if j.Kind != model.TuckJoin || j.B.Window == nil {
			continue
		}
		if j.A.Panel == a.panel && j.B.Panel == b.panel || j.A.Panel == b.panel && j.B.Panel == a.panel {
			return true
		}
	}
	return false
}

// crossing is the line where two faces cross, where it lies well inside both:
// further from either's rim than the depth that counts as a touch.
func (s *stage) crossing(f, g *face) []stroke {
	shared := common(f.box, g.box)
	l := f.over(g, shared)
	if l.flush {
		return nil
	}
	p, q, ok := l.ahead.zeroIn(shared)
	if !ok {
		return nil
	}
	limit := s.touchDepth(f.board, g.board)
	seg := segment{p, q, f.depth.at(p), f.depth.at(q)}
	stops := seg.crossRim(g.rings, seg.crossRim(f.rings, []float64{0, 1}))
	slices.Sort(stops)
	var out []stroke
	for i := range len(stops) - 1 {
		v := span{stops[i], stops[i+1]}
		mid := s.world(seg, (v.from+v.to)/2)
		if f.board.insetAt(mid) > limit && g.board.insetAt(mid) > limit {
			out = append(out, stroke{Crossing, [2]*sheet{f.board, g.board}, []geom.Point3{s.world(seg, v.from), s.world(seg, v.to)}})
		}
	}
	return out
}

// touchDepth is how deep two panels may cross and still count as touching:
// the smaller of a caliper and pierceMost, and the layers they are lifted by.
func (s *stage) touchDepth(a, b *sheet) float64 {
	lifted := math.Abs(float64(a.layer)) + math.Abs(float64(b.layer))
	return math.Min(s.in.Blank.Piece.Board.Caliper, pierceMost) + lifted*Hair(s.in.Blank)
}

// world is the place in the world at a parameter of a segment.
func (s *stage) world(g segment, t float64) geom.Point3 {
	return s.view.lift(g.p.Lerp(g.q, t), g.dp+(g.dq-g.dp)*t)
}

// insetAt is inset for a place in the world on the panel's plane.
func (b *sheet) insetAt(p geom.Point3) float64 { return b.inset(b.place.Inverse().Apply(p).Plane()) }

// zeroIn is the stretch of the line where a vanishes that crosses a box.
func (a affine) zeroIn(b geom.Box) (p, q geom.Point, ok bool) {
	corners := []geom.Point{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
	var ends []geom.Point
	from := corners[3]
	for _, to := range corners {
		if u, w := a.at(from), a.at(to); (u > 0) != (w > 0) {
			ends = append(ends, from.Lerp(to, u/(u-w)))
		}
		from = to
	}
	if len(ends) != 2 {
		return p, q, false
	}
	return ends[0], ends[1], true
}
