package region

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// pair is two regions in one arrangement.
type pair struct {
	Arrangement
	a, b *winding
}

// arrangePair arranges the boundary curves of two regions, of which the first n
// are a's, and works out on which side of every edge either region lies.
func arrangePair(curves []geom.Curve, n int) *pair {
	p := &pair{Arrangement: Arrange(curves)}
	rows := p.onward()
	p.a = p.windRows(0, n, rows)
	p.b = p.windRows(n, len(curves), rows)
	return p
}

// rule says from what two regions cover whether a result covers it.
type rule func(inA, inB bool) bool

func either(a, b bool) bool { return a || b }
func both(a, b bool) bool   { return a && b }
func first(a, b bool) bool  { return a && !b }

// boundary lists the half-edges with the result on their left and not on their
// right. A region covers what its rings wind round any number of times but 0.
func (p *pair) boundary(in rule) []HalfEdge {
	halves := make([]HalfEdge, 0, len(p.Edges))
	for k := range p.Edges {
		left := in(p.a.left[k] != 0, p.b.left[k] != 0)
		right := in(p.a.right(k) != 0, p.b.right(k) != 0)
		if left != right {
			halves = append(halves, HalfEdge{k, right})
		}
	}
	return halves
}

// Union gives the rings of what either region covers. Regions are given and
// come back as rings with the region on their left: counter-clockwise outside,
// clockwise round holes; parts or holes that touch in a point come as rings of
// their own. Slivers no wider than geom.SnapTolerance are left out. An error means that
// the boundary could not be closed, from rings that do not close themselves.
func Union[R ~[]geom.Curve](a, b []R) ([]R, error) { return combine(a, b, either) }

// Intersect gives the rings of what both regions cover; see Union.
func Intersect[R ~[]geom.Curve](a, b []R) ([]R, error) { return combine(a, b, both) }

// Difference gives the rings of what region a covers and b does not; see Union.
func Difference[R ~[]geom.Curve](a, b []R) ([]R, error) { return combine(a, b, first) }

func combine[R ~[]geom.Curve](a, b []R, in rule) ([]R, error) {
	n := 0
	for _, r := range a {
		n += len(r)
	}
	p := arrangePair(slices.Concat(slices.Concat(a, b)...), n)
	rings, err := p.solidRings(p.boundary(in), SeparateHoles)
	if err != nil {
		return nil, err
	}
	out := make([]R, len(rings))
	for i, r := range rings {
		out[i] = p.Curves(r)
	}
	return out, nil
}

// solidRings traces rings and drops those no wider than geom.SnapTolerance.
func (a *Arrangement) solidRings(halves []HalfEdge, touching TouchRule) ([][]HalfEdge, error) {
	rings, err := a.Rings(halves, touching)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(rings, func(r []HalfEdge) bool { return a.thinner(r, geom.SnapTolerance) }), nil
}

// thinner reports whether a boundary encloses no more than a strip of the given
// width in mm along it would: a strip of length l and width w has the area l·w and a
// boundary of 2·l and a little. By tolerance.
func (a *Arrangement) thinner(boundary []HalfEdge, width float64) bool {
	area, length := 0.0, 0.0
	for _, h := range boundary {
		c := a.Curve(h)
		area += c.Area()
		length += c.Length()
	}
	return max(area, -area) <= width*length/2
}

// OverlapArea is the area in mm² that two regions share, each given by its
// rings as for Union. It is exact but for rounding where edges are lines and
// arcs; what lies within geom.SnapTolerance of both rims counts for nothing.
func OverlapArea[R ~[]geom.Curve](a, b []R) float64 {
	ca, cb := slices.Concat(a...), slices.Concat(b...)
	if !bounds(ca).Intersects(bounds(cb)) {
		return 0
	}
	p := arrangePair(slices.Concat(ca, cb), len(ca))
	sum := 0.0
	for _, h := range p.boundary(both) {
		sum += p.Curve(h).Area()
	}
	return max(sum, 0)
}

func bounds(cs []geom.Curve) geom.Box {
	b := geom.EmptyBox()
	for _, c := range cs {
		b = b.Union(c.Bounds())
	}
	return b
}

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
