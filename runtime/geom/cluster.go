package geom

import (
	"cmp"
	"math"
	"slices"
)

// cluster is a chain of candidates, ascending along a, between which the curves
// stay within SnapTolerance of each other.
type cluster struct{ all []candidate }

// first and last are the candidates with the least and the greatest parameter on a.
// A cluster is never empty.
func (r cluster) first() candidate { return r.all[0] }
func (r cluster) last() candidate  { return r.all[len(r.all)-1] }

// clusters chains candidates between which the curves coincide within
// SnapTolerance; it sorts cs. Each is compared with the last candidate of
// every cluster so far, latest first, as there may be several at once: of a curve
// that passes the same place of the other twice.
func clusters(a, b Curve, cs []candidate) (found []cluster) {
	slices.SortStableFunc(cs, func(p, q candidate) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
next:
	for _, c := range cs {
		for i := len(found) - 1; i >= 0; i-- {
			if coincideBetween(a, b, found[i].last(), c) {
				found[i].all = append(found[i].all, c)
				continue next
			}
		}
		found = append(found, cluster{[]candidate{c}})
	}
	return found
}

// coincideBetween reports whether the curves stay within SnapTolerance of each
// other all the way from one candidate to another. By tolerance, at seven points
// of either side; between samples the distance of lines, arcs and cubics that near each
// other is a smooth function with few extrema, and one too many leads to
// one overlap where there are two.
func coincideBetween(a, b Curve, p, q candidate) bool {
	pa, pb := a.stretch(p.a, q.a), b.stretch(p.b, q.b)
	if pa.hullLength() <= SnapTolerance && pb.hullLength() <= SnapTolerance {
		return true
	}
	// The middle first: it refuses nearly all.
	for _, t := range [...]float64{0.5, 0.25, 0.75, 0.125, 0.375, 0.625, 0.875} {
		if _, d := pb.Nearest(pa.At(t)); d > SnapTolerance {
			return false
		}
		if _, d := pa.Nearest(pb.At(t)); d > SnapTolerance {
			return false
		}
	}
	return true
}

// stretch is the part between two parameters in either order, which may be
// equal.
func (c Curve) stretch(s, t float64) Curve {
	if s > t {
		s, t = t, s
	}
	if s == t {
		return LineFrom(c.At(s), c.At(s))
	}
	return c.Part(s, t)
}

// hullLength is a cheap bound on the length from above.
// Exact for lines and arcs but for rounding; for a cubic the length in mm of its
// control polygon.
func (c Curve) hullLength() float64 {
	if c.Kind == Cubic {
		return c.hull()
	}
	return c.Length()
}

// intersections appends what the cluster amounts to: one overlap, one end or the
// crossings themselves.
func (r cluster) intersections(a, b Curve, out []Intersection) []Intersection {
	from, to := r.first(), r.last()
	if from.ends() > 0 && to.ends() > 0 && longer(a, b, from, to, SnapTolerance) {
		return append(out, Intersection{from.a, to.a, from.b, to.b})
	}
	// On at least one side the curves separate without an end of either.
	from, to = extendOverlap(a, b, from, -1), extendOverlap(a, b, to, 1)
	if longer(a, b, from, to, minOverlap) {
		return append(out, Intersection{from.a, to.a, from.b, to.b})
	}
	if e, ok := r.end(); ok {
		return append(out, Intersection{e.a, e.a, e.b, e.b})
	}
	return r.points(a, b, out)
}

// longer reports whether both curves run further than least mm between two
// candidates.
func longer(a, b Curve, p, q candidate, least float64) bool {
	return a.stretch(p.a, q.a).Length() > least && b.stretch(p.b, q.b).Length() > least
}

// end is the cluster's candidate with the most curve ends, if it has one with any.
func (r cluster) end() (best candidate, ok bool) {
	for _, c := range r.all {
		if c.ends() > best.ends() || !ok && c.ends() > 0 {
			best, ok = c, true
		}
	}
	return best, ok
}

// points appends the cluster's crossings, those within SnapTolerance of the last
// one left out; without any, the closest approach.
func (r cluster) points(a, b Curve, out []Intersection) []Intersection {
	n := len(out)
	best, gap := r.first(), math.Inf(1)
	for _, c := range r.all {
		if d := a.At(c.a).Dist(b.At(c.b)); d < gap {
			best, gap = c, d
		}
		if !c.cross || len(out) > n && a.At(c.a).Dist(a.At(out[len(out)-1].A0)) <= SnapTolerance {
			continue
		}
		out = append(out, Intersection{c.a, c.a, c.b, c.b})
	}
	if len(out) == n {
		out = append(out, Intersection{best.a, best.a, best.b, best.b})
	}
	return out
}

// extendOverlap follows a from a candidate in direction dir (±1) as long as b
// stays within SnapTolerance, and gives the last place where it does, by steps
// that double and then bisection. Where the first step, a sixteenth of
// minOverlap, leaves that distance already, as at any angle above shallowSine, the
// candidate itself comes back.
func extendOverlap(a, b Curve, c candidate, dir float64) candidate {
	if math.Abs(a.Tangent(c.a).Cross(b.Tangent(c.b))) > shallowSine {
		return c
	}
	room := c.a
	if dir > 0 {
		room = 1 - c.a
	}
	in, out := 0.0, math.Min(minOverlap/16/math.Max(a.hullLength(), Tiny), room)
	for out > in && staysNear(a, b, c, dir*out) {
		in, out = out, math.Min(2*out, room)
	}
	if in == 0 {
		return c
	}
	in, _ = Bisect(in, out, func(way float64) bool { return staysNear(a, b, c, dir*way) })
	t := clamp01(c.a + float64(dir*in))
	s, _ := b.Nearest(a.At(t))
	return candidate{a: t, b: s}
}

// staysNear reports whether the curves coincide within SnapTolerance from a
// candidate to the place of a that is dt of its parameter further on.
func staysNear(a, b Curve, c candidate, dt float64) bool {
	t := clamp01(c.a + dt)
	s, d := b.Nearest(a.At(t))
	return d <= SnapTolerance && coincideBetween(a, b, c, candidate{a: t, b: s})
}
