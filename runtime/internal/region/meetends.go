package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// sameEnd is how close two ends are to take the short way: what placing
	// panels one after another leaves between ends that are one.
	sameEnd = 10 * geom.Tiny

	// apart is the sine of the least angle at which two curves from one end
	// surely have nothing else in common: 5° part a weld within 0.012 mm.
	apart = 0.087

	// shortCurve is the chord in millimetres below which the far ends may be
	// close at that angle too.
	shortCurve = 0.1
)

// meet is geom.Intersect with a short way for what blanks are full of: curves that
// share one end, of which welding takes care, and curves that are the same.
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

func same(p, q geom.Point) bool {
	return math.Abs(p.X-q.X) <= sameEnd && math.Abs(p.Y-q.Y) <= sameEnd
}

// alike reports whether two curves with the same ends are the same curve.
func alike(a, b geom.Curve) bool {
	return a.Kind == b.Kind && same(a.C, b.C) && same(a.D, b.D) && math.Abs(a.Sweep.Radians()-b.Sweep.Radians()) <= sameEnd
}

// part reports whether two curves that start in one point surely never come
// together again: each lies in a wedge from that point, and the wedges are a
// quarter turn or more apart, or all of one lies well to the left of the other.
func part(a, b geom.Curve) bool {
	wa, na := wedge(a)
	wb, nb := wedge(b)
	opposite, left, right := na > 0 && nb > 0, na > 0 && nb > 0, na > 0 && nb > 0
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

// wedge gives up to three directions between which the curve lies, seen from
// its start; none for curves that turn or are too short to say.
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
		// Between tangent and chord, up to a half circle.
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
