package geom

import (
	"cmp"
	"math"
	"slices"
)

// Intersection is where two curves meet, by parameter: a point when A0 == A1 (then
// B0 == B1), else a stretch along which they run within SnapTolerance of each other,
// A0 < A1, with B0 at A0's place; B0 > B1 when they run opposite ways.
type Intersection struct{ A0, A1, B0, B1 float64 }

// IsPoint reports whether the curves meet at one point only.
func (t Intersection) IsPoint() bool { return t.A0 == t.A1 }

// Swap is the same intersection seen with the two curves exchanged.
func (t Intersection) Swap() Intersection {
	if t.B0 > t.B1 {
		return Intersection{A0: t.B1, A1: t.B0, B0: t.A1, B1: t.A0}
	}
	return Intersection{A0: t.B0, A1: t.B1, B0: t.A0, B1: t.A1}
}

const (
	// shallowSine is the sine of the crossing angle under which two curves might
	// stay within SnapTolerance of each other for minOverlap.
	shallowSine = 0.01

	// minOverlap is how far, in millimetres, two curves that drift together and
	// apart must stay within SnapTolerance to count as one along the way. Below it they
	// merely cross or touch. Stretches that begin and end at an end of either
	// curve count from SnapTolerance up.
	minOverlap = 1.0

	// endShare is the share of a line within which the other may lie near its
	// end for the two to be told at once as a corner. A line of which more lies
	// near the other may run along it.
	endShare = 0.25
)

// Intersect lists where two curves cross, touch or run together, sorted by A0. An
// end within SnapTolerance of the other curve touches it, and then the parameter is
// exactly 0 or 1; crossings elsewhere are good to about 1e-10 mm unless the
// curves are nearly parallel there. Meetings between which the curves stay within SnapTolerance
// are told once.
func Intersect(a, b Curve) []Intersection {
	if !a.reach().Grow(SnapTolerance).Intersects(b.reach()) {
		return nil
	}
	if a.Kind == Line && b.Kind == Line {
		if ts, clear := meetLines(a, b); clear {
			return ts
		}
	}
	var out []Intersection
	for _, r := range clusters(a, b, candidates(a, b)) {
		out = r.intersections(a, b, out)
	}
	slices.SortFunc(out, func(s, t Intersection) int {
		return cmp.Or(cmp.Compare(s.A0, t.A0), cmp.Compare(s.B0, t.B0), cmp.Compare(s.A1, t.A1))
	})
	return slices.Compact(out)
}

// reach is a box that surely holds the curve and is cheap to get.
// For a cubic it is the box of the control points, which is larger than Bounds.
func (c Curve) reach() Box {
	switch c.Kind {
	case Arc:
		return c.Bounds()
	case Cubic:
		return BoxOf(c.P, c.C, c.D, c.Q)
	}
	return BoxOf(c.P, c.Q)
}

// meetLines settles the plain cases, nearly all there are: two lines that
// cross well inside both or clearly miss. clear is false when an end or a small
// angle needs a closer look.
//
// Filtered: at an angle with the sine σ a line comes within SnapTolerance of the
// other over SnapTolerance/σ to either side of the crossing, so twice that, the
// slack, separates a crossing from a miss with a margin of SnapTolerance/σ,
// at least 1e-3 mm, where the rounding of the crossing, some 2⁻⁵³·MaxSize/σ, is
// below 1e-7 mm for σ above shallowSine.
func meetLines(a, b Curve) (ts []Intersection, clear bool) {
	u, v, w := a.Q.Sub(a.P), b.Q.Sub(b.P), b.P.Sub(a.P)
	lu, lv, cross := u.Len(), v.Len(), u.Cross(v)
	sin := math.Abs(cross) / (lu * lv)
	if !(sin > shallowSine) {
		return nil, false
	}
	s, t := w.Cross(v)/cross, w.Cross(u)/cross
	slack := 2 * SnapTolerance / sin
	ds, dt := slack/lu, slack/lv
	if s < -ds || s > 1+ds || t < -dt || t > 1+dt {
		return nil, true
	}
	if s > ds && s < 1-ds && t > dt && t < 1-dt {
		return []Intersection{{s, s, t, t}}, true
	}
	if i, j := math.Round(s), math.Round(t); max(ds, dt) < endShare && a.At(i).Dist(b.At(j)) <= SnapTolerance {
		return []Intersection{{i, i, j, j}}, true // a corner
	}
	return nil, false
}
