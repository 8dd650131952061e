package scene

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// lines is the visible part of every stroke and of the lines where panels pierce
// each other.
func (s *projection) lines(ctx context.Context) ([]Line, error) {
	var out []Line
	for _, k := range slices.Concat(s.strokes, s.crossings()) {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		out = append(out, s.visibleRuns(k)...)
	}
	return append(out, s.productLines()...), nil
}

// visibleRuns is the visible part of a stroke as unbroken polylines. Neighbouring
// segments are joined where one ends within geom.Tiny of the start of the next,
// round the start of a closed stroke too. Drawn lines are on the outside of the
// board and show only where that faces the eye.
func (s *projection) visibleRuns(k stroke) []Line {
	if own := s.seen[k.owners[0].index]; k.kind == Drawn && (own == nil || own.side() == Inside) {
		return nil
	}
	return s.visibleParts(k, s.lineOccluders(k))
}

// visibleParts is what some faces leave of a stroke.
func (s *projection) visibleParts(k stroke, hiders []lineOccluder) []Line {
	var out []Line
	for i := range len(k.points) - 1 {
		seg := s.segment(k.points[i], k.points[i+1])
		seg.inward = k.inward(i)
		for _, v := range seg.visibleSpans(hiders) {
			p, q := seg.p.Lerp(seg.q, v.from), seg.p.Lerp(seg.q, v.to)
			if n := len(out) - 1; n >= 0 && out[n].end().Dist(p) <= geom.Tiny {
				out[n].Points = append(out[n].Points, q)
			} else if p != q {
				out = append(out, Line{k.kind, k.work, []geom.Point{p, q}})
			}
		}
	}
	if n := len(out) - 1; n > 0 && out[n].end().Dist(out[0].Points[0]) <= geom.Tiny {
		out[0].Points = append(out[n].Points, out[0].Points[1:]...)
		out = out[:n]
	}
	return slices.DeleteFunc(out, Line.tooShort)
}

// tooShort reports whether a line is shorter than minLength, in mm.
func (l Line) tooShort() bool {
	length := 0.0
	for i, p := range l.Points[1:] {
		length += p.Dist(l.Points[i])
	}
	return length < minLength
}

func (l Line) end() geom.Point { return l.Points[len(l.Points)-1] }

// lineOccluder is a face that may hide a stroke. A coplanar one lies on the
// stroke's panel, in front of it.
type lineOccluder struct {
	*face
	coplanar bool
	inFront  bool // all of it stands before all of the stroke
}

// lineOccluders lists the faces that may hide a stroke: those whose boxes meet its
// box, but for its owners' and for faces that are coplanar with the first owner and
// behind it. A line where two panels pierce each other belongs to both depths, so
// for it no face counts as coplanar.
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
	for _, v := range s.products {
		side := v.sideOf(k.owners[0])
		for _, g := range v.faces {
			if g != nil && side >= 0 && g.box.Intersects(box) {
				out = append(out, lineOccluder{face: g, inFront: side > 0})
			}
		}
	}
	return out
}

// inward gives the unit vectors in the planes of a stroke's owners that point from
// its i-th segment into their boards; none for an owner with board on both sides.
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

// segment is a straight stretch of a stroke in the picture.
type segment struct {
	p, q   geom.Point    // ends, mm in the picture plane
	dp, dq float64       // depths of the ends, mm; affine in between
	inward []geom.Point3 // see stroke.inward
}

func (s *projection) segment(p, q geom.Point3) segment {
	return segment{p: s.view.Project(p), q: s.view.Project(q), dp: s.view.depth(p), dq: s.view.depth(q)}
}

// visibleSpans is what occluders leave of a segment, as stretches of its parameter;
// those shorter than geom.SnapTolerance are left out.
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

// hiddenBy appends the stretches that a face hides. The segment is split where it
// crosses the face's rim and where its height over the face's plane passes ±
// depthTolerance; within each part neither changes, so its middle decides for all of
// it. The middle of a part longer than twice the snap tolerance is not near a
// crossing, and shorter parts are not drawn.
func (g segment) hiddenBy(h lineOccluder, gone []span) []span {
	hp, hq := h.height(g.p, g.dp), h.height(g.q, g.dq)
	if h.inFront {
		hp, hq = 1, 1 // mm: any height above the tolerance
	}
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
	back := h.recedes(g.inward)
	for i := range len(stops) - 1 {
		v := span{stops[i], stops[i+1]}
		t := (v.from + v.to) / 2
		if v.from < v.to && h.hides(g.p.Lerp(g.q, t), hp+float64((hq-hp)*t), back) {
			gone = append(gone, v)
		}
	}
	return gone
}

// height is the distance in mm, square to the face's plane, by which the plane
// stands before a point of the picture at a depth; negative where it is behind.
func (f *face) height(p geom.Point, depth float64) float64 {
	return (f.depth.at(p) - depth) * math.Abs(f.facing)
}

// hides reports whether the face hides a point p of a line that lies high mm behind
// its plane; recedes tells whether all board that the line belongs to leads to the
// back of the plane.
//
//	                 high > tol   |high| ≤ tol   high < −tol   coplanar
//	inside           hidden       if it recedes  seen          hidden
//	on the rim       hidden       seen           seen          seen
//	outside          seen         seen           seen          seen
//
// with tol = depthTolerance. The edge of a wall that stands against the back of
// another is the case |high| ≤ tol. Coplanar faces hide only what is inside,
// because they share rims with what lies beside them.
//
// Inside is exact (polygon.Holds); on the rim is within geom.SnapTolerance, which is
// as far as snapping may have moved either line. It is asked first wherever it
// changes the answer, so that the exact answer decides only where p is off the rim.
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

// onRim reports whether a point of the picture lies within geom.SnapTolerance of
// the face's rim.
func (f *face) onRim(p geom.Point) bool {
	return f.box.Grow(geom.SnapTolerance).Contains(p) && polygon.OnRim(f.rings, p, geom.SnapTolerance)
}

// recedes reports whether all of some unit vectors lead to the back of the face, by
// a sine above recedingSine. By tolerance: a vector in the plane, as of board that
// continues the face, must not count, whatever its last bits. False for none.
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

// rimCrossings appends the parameters at which the segment crosses the sides of
// rings. A brute-force loop behind a box test: faces have few sides.
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

// appendCrossing appends the parameter at which the segment from p to p + u crosses
// that from a to b: of p + t·u = a + s·v, v = b − a, by Cramer's rule
//
//	t = (w × v) / (u × v),  s = (w × u) / (u × v),  w = a − p.
//
// By tolerance: s may leave 0…1 by geom.Tiny, so that a segment through a common
// end of two sides finds one of them at least. One crossing too many only splits a
// stretch in two. Parallel lines have none; where they coincide, the rim test
// decides for the whole stretch.
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

// crossings lists the lines along which the pairs of panels in Input.Piercing
// intersect.
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

// crossing is the line where the planes of two faces intersect, as far as it lies
// inside both: the line of the picture where their depths are equal, split where it
// crosses either rim. Coplanar faces have none.
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

// strictlyContains reports whether a point lies inside the face (exact) and further
// than geom.SnapTolerance from its rim.
func (f *face) strictlyContains(p geom.Point) bool { return polygon.Holds(f.rings, p) && !f.onRim(p) }

// world is the point of the world at a parameter of a segment.
func (s *projection) world(g segment, t float64) geom.Point3 {
	return s.view.unproject(g.p.Lerp(g.q, t), g.dp+float64((g.dq-g.dp)*t))
}

// zeroLine is the part within a box of the line on which a vanishes. It ends on
// those two sides of the box at whose ends a has different signs, as computed; ok
// is false where there are not two, as for a line through no more than a corner.
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
