package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// sameEnd is how far in mm two ends may differ in each coordinate that are
	// the same but for rounding: what placing panels one after another leaves.
	sameEnd = 10 * geom.Tiny

	// apart is the sine of the least angle at which two curves from one end
	// surely have nothing else in common. It is that of 5°, at which they are a
	// geom.SnapTolerance apart after 0.012 mm, an eighth of shortCurve.
	apart = 0.087

	// shortCurve is the chord in millimetres below which wedge says nothing, as
	// the far ends may come near each other even at that angle.
	shortCurve = 0.1
)

// meet is geom.Intersect with short cuts for the two commonest cases in a blank:
// curves that share one end and separate there, for which the snapping of their
// ends suffices and nothing is reported, and curves that are the same. It reports
// at most what geom.Intersect does, less common ends (TestMeetAgreesWithGeom).
func meet(a, b geom.Curve) []geom.Intersection {
	pp, pq, qp, qq := same(a.P, b.P), same(a.P, b.Q), same(a.Q, b.P), same(a.Q, b.Q)
	shared := 0
	for _, s := range [...]bool{pp, pq, qp, qq} {
		if s {
			shared++
		}
	}
	switch {
	case pp && qq && alike(a, b):
		return []geom.Intersection{{A1: 1, B1: 1}}
	case pq && qp && alike(a, b.Reverse()):
		return []geom.Intersection{{A1: 1, B0: 1}}
	case shared == 1 && (pp && part(a, b) || pq && part(a, b.Reverse()) ||
		qp && part(a.Reverse(), b) || qq && part(a.Reverse(), b.Reverse())):
		return nil
	}
	return geom.Intersect(a, b)
}

// same reports whether two points are equal but for rounding, by tolerance.
func same(p, q geom.Point) bool {
	return math.Abs(p.X-q.X) <= sameEnd && math.Abs(p.Y-q.Y) <= sameEnd
}

// alike reports whether two curves with the same ends are the same curve, by
// tolerance. Radii follow from ends and centres.
func alike(a, b geom.Curve) bool {
	return a.Kind == b.Kind && same(a.C, b.C) && same(a.D, b.D) && math.Abs(a.Sweep.Radians()-b.Sweep.Radians()) <= sameEnd
}

// part reports whether two curves that start in one point surely do not meet
// again. Each lies in the convex cone that its wedge's directions span from that
// point. The cones share nothing else if all directions of one are at a right
// angle or more to all of the other, or if all lie to the same side of all of
// the other by more than the sine apart: with cones below a half turn, as wedge's are,
// the sign of the cross product of any two of their vectors is then the same. Its
// answer false means nothing; the margin is some 1e13 times the rounding of
// the cross product, and cones at about a right angle are far apart, so true is
// never due to rounding.
func part(a, b geom.Curve) bool {
	wa, na := wedge(a)
	wb, nb := wedge(b)
	if na == 0 || nb == 0 {
		return false
	}
	opposite, left, right := true, true, true
	for _, u := range wa[:na] {
		for _, v := range wb[:nb] {
			cross, sin := u.Cross(v), apart*math.Sqrt(u.Dot(u)*v.Dot(v))
			opposite = opposite && u.Dot(v) <= 0
			left = left && cross > sin
			right = right && cross < -sin
		}
	}
	return opposite || left || right
}

// wedge gives up to three directions whose cone holds the curve, seen from its
// start: chord and tangent for an arc of up to a half turn, the three control
// points for a cubic, by the convex hull property, if they lie ahead within a right angle of the
// chord, and so in a half plane. It gives none for other curves and for those
// with a chord below shortCurve.
func wedge(c geom.Curve) (dirs [3]geom.Point, n int) {
	chord := c.Q.Sub(c.P)
	if chord.Dot(chord) < shortCurve*shortCurve {
		return dirs, 0
	}
	dirs[0] = chord
	switch c.Kind {
	case geom.Line:
		return dirs, 1
	case geom.Arc:
		dirs[1] = c.Tangent(0)
		if c.Sweep.Abs().Radians() > math.Pi {
			return dirs, 0
		}
		return dirs, 2
	}
	dirs[1], dirs[2] = c.C.Sub(c.P), c.D.Sub(c.P)
	if chord.Dot(dirs[1]) <= 0 || chord.Dot(dirs[2]) <= 0 {
		return dirs, 0
	}
	return dirs, 3
}
