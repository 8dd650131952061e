package region

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Overlaps reports whether two regions, given by their rings as for Union,
// cover common ground wider than geom.SnapTolerance. Regions that touch do not overlap.
// It looks at boxes first, at separating lines between convex polygons next,
// and only then lays the two over each other.
func Overlaps[R ~[]geom.Curve](a, b []R) bool {
	ca, cb := slices.Concat(a...), slices.Concat(b...)
	if !bounds(ca).Grow(-geom.SnapTolerance / 2).Intersects(bounds(cb).Grow(-geom.SnapTolerance / 2)) {
		return false
	}
	if len(a) == 1 && len(b) == 1 && convexPolygon(ca) && convexPolygon(cb) {
		// Of all directions, one square to an edge parts them soonest.
		return deepest(ca, cb) > geom.SnapTolerance && deepest(cb, ca) > geom.SnapTolerance
	}
	p := arrangePair(slices.Concat(ca, cb), len(ca))
	return !p.thinner(p.boundary(both), geom.SnapTolerance)
}

// convexPolygon reports, exactly for the points as they are, whether a counter-
// clockwise ring is all lines and never turns right.
func convexPolygon(ring []geom.Curve) bool {
	for i, c := range ring {
		next := ring[(i+1)%len(ring)]
		if c.Kind != geom.Line || geom.Orient(c.P, c.Q, next.Q) < 0 {
			return false
		}
	}
	return len(ring) > 2
}

// deepest is how far b reaches in behind that edge of a which it reaches behind
// least; not positive when the edge parts the two.
func deepest(a, b []geom.Curve) float64 {
	least := math.Inf(1)
	for _, edge := range a {
		inward := edge.Q.Sub(edge.P).Unit().Left()
		depth := math.Inf(-1)
		for _, c := range b {
			depth = math.Max(depth, c.P.Sub(edge.P).Dot(inward))
		}
		least = math.Min(least, depth)
	}
	return least
}
