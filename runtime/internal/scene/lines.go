package scene

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// lines is what can be seen of every line.
func (s *projection) lines(ctx context.Context) ([]Line, error) {
	var out []Line
	for _, k := range slices.Concat(s.strokes, s.crossings()) {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		out = append(out, s.visibleRuns(k)...)
	}
	return out, nil
}

// visibleRuns gives the visible runs of a stroke.
func (s *projection) visibleRuns(k stroke) []Line {
	if own := s.seen[k.owners[0].index]; k.kind == Drawn && (own == nil || own.side() == Inside) {
		return nil
	}
	hiders := s.lineOccluders(k)
	var out []Line
	for i := range len(k.points) - 1 {
		seg := s.segment(k.points[i], k.points[i+1])
		seg.into = k.inward(i)
		for _, v := range seg.visibleSpans(hiders) {
			p, q := seg.p.Lerp(seg.q, v.from), seg.p.Lerp(seg.q, v.to)
			if n := len(out) - 1; n >= 0 && out[n].end().Dist(p) <= geom.Tiny {
				out[n].Points = append(out[n].Points, q)
			} else if p != q {
				out = append(out, Line{k.kind, []geom.Point{p, q}})
			}
		}
	}
	if n := len(out) - 1; n > 0 && out[n].end().Dist(out[0].Points[0]) <= geom.Tiny {
		out[0].Points = append(out[n].Points, out[0].Points[1:]...)
		out = out[:n]
	}
	return slices.DeleteFunc(out, Line.tooShort)
}

// tooShort reports whether a line is too short to be seen as one.
func (l Line) tooShort() bool {
	length := 0.0
	for i, p := range l.Points[1:] {
		length += p.Dist(l.Points[i])
	}
	return length < minLength
}

func (l Line) end() geom.Point { return l.Points[len(l.Points)-1] }

// lineOccluder is a face that may hide a stroke. A flush one lies on the stroke's
// panel, in front of it.
type lineOccluder struct {
	*face
	coplanar bool
}

// lineOccluders lists the faces that may hide a stroke.
func (s *projection) lineOccluders(k stroke) []lineOccluder {
	box := geom.EmptyBox()
	for _, p := range k.points {
		box = box.Add(s.view.Project(p))
	}
	own := s.seen[k.owners[0].index]
	from := s.faces
	if own != nil {
		from = own.near
	}
	var out []lineOccluder
	for _, g := range from {
		if !g.box.Intersects(box) || g.plate == k.owners[0] || g.plate == k.owners[1] {
			continue
		}
		h := lineOccluder{face: g}
		if own != nil && k.kind != Crossing {
			l := g.compareDepth(own, intersection(g.box, own.box))
			if l.coplanar && !l.inFront {
				continue
			}
			h.coplanar = l.coplanar
		}
		out = append(out, h)
	}
	return out
}

// inward is the ways from a stroke's i-th segment into its owners' boards.
func (k stroke) inward(i int) []geom.Point3 {
	way := k.points[i+1].Sub(k.points[i]).Unit()
	var out []geom.Point3
	for j, b := range k.owners {
		if b != nil && k.sides[j] != 0 {
			out = append(out, b.place.Normal().Cross(way).Mul(k.sides[j]))
		}
	}
	return out
}

// segment is a straight line in the picture with its depths.
type segment struct {
	p, q   geom.Point
	dp, dq float64
	into   []geom.Point3 // see stroke.into
}

func (s *projection) segment(p, q geom.Point3) segment {
	return segment{p: s.view.Project(p), q: s.view.Project(q), dp: s.view.depth(p), dq: s.view.depth(q)}
}

// visibleSpans is what the hiders leave of a segment, nothing shorter than the snap tolerance.
func (g segment) visibleSpans(hiders []lineOccluder) []span {
	length := g.p.Dist(g.q)
	box := geom.BoxOf(g.p, g.q).Grow(geom.SnapTolerance)
	var gone []span
	for _, h := range hiders {
		if h.box.Intersects(box) {
			gone = g.hiddenBy(h, gone)
		}
	}
	if len(gone) == 0 {
		return []span{{0, 1}}
	}
	least := geom.SnapTolerance / max(length, geom.SnapTolerance)
	return slices.DeleteFunc(complement(gone), func(v span) bool { return v.to-v.from < least })
}

// hiddenBy appends the stretches that a face hides: the segment is cut where
// it meets the face's rim or passes through its plane, and the middle of each
// part decides for all of it.
func (g segment) hiddenBy(h lineOccluder, gone []span) []span {
	hp, hq := h.height(g.p, g.dp), h.height(g.q, g.dq)
	if !h.coplanar && max(hp, hq) < -depthTolerance {
		return gone
	}
	stops := []float64{0, 1}
	for _, level := range [...]float64{-depthTolerance, depthTolerance} {
		if (hp > level) != (hq > level) {
			stops = append(stops, (hp-level)/(hp-hq))
		}
	}
	stops = g.rimCrossings(h.rings, stops)
	slices.Sort(stops)
	back := h.recedes(g.into)
	for i := range len(stops) - 1 {
		v := span{stops[i], stops[i+1]}
		t := (v.from + v.to) / 2
		if v.from < v.to && h.hides(g.p.Lerp(g.q, t), hp+float64((hq-hp)*t), back) {
			gone = append(gone, v)
		}
	}
	return gone
}

// height is how far the face's plane stands before a place, square to it.
func (f *face) height(p geom.Point, depth float64) float64 {
	return (f.depth.at(p) - depth) * math.Abs(f.facing)
}

// hides reports whether the face hides a place of a line that lies high behind
// its plane. A line on the plane is hidden where all board it belongs to leaves
// to the back: a wall's edge set against the back of another is not seen. On
// the face's rim, where its own line is seen, everything behind is hidden; of
// flush faces only what is well inside, as they share rims with what lies
// beside them.
func (h lineOccluder) hides(p geom.Point, high float64, leaves bool) bool {
	in, onRim := polygon.Holds(h.rings, p), false
	if !in || high <= depthTolerance || h.coplanar {
		onRim = h.onRim(p)
	}
	switch {
	case onRim:
		return !h.coplanar && high > depthTolerance
	case !in:
		return false
	}
	return h.coplanar || high > depthTolerance || high > -depthTolerance && leaves
}

// onRim reports whether a point of the picture lies on the face's rim.
func (f *face) onRim(p geom.Point) bool {
	return f.box.Grow(geom.SnapTolerance).Contains(p) && polygon.OnRim(f.rings, p, geom.SnapTolerance)
}

// recedingSine is the least sine of the angle at which board counts as leaving a
// plane: a degree, more than solved folds and given angles are off by.
const recedingSine = 0.02

// recedes reports whether all of the ways lead to the back of the face.
func (f *face) recedes(ways []geom.Point3) bool {
	n := f.plate.place.Normal()
	if f.facing < 0 {
		n = n.Mul(-1)
	}
	for _, w := range ways {
		if w.Dot(n) > -recedingSine {
			return false
		}
	}
	return len(ways) > 0
}

// rimCrossings appends the places where the segment crosses a rim.
func (g segment) rimCrossings(rings [][]geom.Point, stops []float64) []float64 {
	u := g.q.Sub(g.p)
	box := geom.BoxOf(g.p, g.q)
	for _, r := range rings {
		a := r[len(r)-1]
		for _, b := range r {
			if box.Intersects(geom.BoxOf(a, b)) {
				stops = appendCrossing(g.p, u, a, b, stops)
			}
			a = b
		}
	}
	return stops
}

// appendCrossing appends where the line from p along u crosses that from a to b,
// ends included; parallel lines do not cross.
func appendCrossing(p, u, a, b geom.Point, stops []float64) []float64 {
	v, w := b.Sub(a), a.Sub(p)
	c := u.Cross(v)
	if c == 0 {
		return stops
	}
	t, s := w.Cross(v)/c, w.Cross(u)/c
	if t > 0 && t < 1 && s >= -geom.Tiny && s <= 1+geom.Tiny {
		stops = append(stops, t)
	}
	return stops
}

// crossings lists where the panels that are said to pierce each other do so.
func (s *projection) crossings() []stroke {
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
func (s *projection) crossing(f, g *face) []stroke {
	shared := intersection(f.box, g.box)
	l := f.compareDepth(g, shared)
	if l.coplanar {
		return nil
	}
	p, q, ok := l.difference.zeroLine(shared)
	if !ok {
		return nil
	}
	seg := segment{p: p, q: q, dp: f.depth.at(p), dq: f.depth.at(q)}
	stops := seg.rimCrossings(g.rings, seg.rimCrossings(f.rings, []float64{0, 1}))
	slices.Sort(stops)
	var out []stroke
	for i := range len(stops) - 1 {
		v := span{stops[i], stops[i+1]}
		if mid := p.Lerp(q, (v.from+v.to)/2); f.strictlyContains(mid) && g.strictlyContains(mid) {
			ends := []geom.Point3{s.world(seg, v.from), s.world(seg, v.to)}
			out = append(out, stroke{kind: Crossing, owners: [2]*plate{f.plate, g.plate}, points: ends})
		}
	}
	return out
}

// strictlyContains reports whether a point lies in the face's shape and off its rim.
func (f *face) strictlyContains(p geom.Point) bool { return polygon.Holds(f.rings, p) && !f.onRim(p) }

// world is the place in the world at a parameter of a segment.
func (s *projection) world(g segment, t float64) geom.Point3 {
	return s.view.unproject(g.p.Lerp(g.q, t), g.dp+float64((g.dq-g.dp)*t))
}

// zeroLine is the stretch of the line where a vanishes that crosses a box.
func (a affine) zeroLine(b geom.Box) (p, q geom.Point, ok bool) {
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
