package scene

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// crossings lists where the panels that are said to pierce each other do so.
func (s *stage) crossings() []stroke {
	var out []stroke
	for _, pair := range s.in.Piercing {
		f, g := s.seen[pair[0]], s.seen[pair[1]]
		if f != nil && g != nil && f.box.Intersects(g.box) {
			out = append(out, s.crossing(f, g)...)
		}
	}
	return out
}

// crossing is the line where two faces cross, where it lies inside both.
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
	seg := segment{p: p, q: q, dp: f.depth.at(p), dq: f.depth.at(q)}
	stops := seg.crossRim(g.rings, seg.crossRim(f.rings, []float64{0, 1}))
	slices.Sort(stops)
	var out []stroke
	for i := range len(stops) - 1 {
		v := span{stops[i], stops[i+1]}
		if mid := p.Lerp(q, (v.from+v.to)/2); f.wellHolds(mid) && g.wellHolds(mid) {
			ends := []geom.Point3{s.world(seg, v.from), s.world(seg, v.to)}
			out = append(out, stroke{kind: Crossing, owners: [2]*sheet{f.board, g.board}, points: ends})
		}
	}
	return out
}

// wellHolds reports whether a point lies in the face's shape and off its rim.
func (f *face) wellHolds(p geom.Point) bool { return polygon.Holds(f.rings, p) && !f.onRim(p) }

// world is the place in the world at a parameter of a segment.
func (s *stage) world(g segment, t float64) geom.Point3 {
	return s.view.lift(g.p.Lerp(g.q, t), g.dp+float64((g.dq-g.dp)*t))
}

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
