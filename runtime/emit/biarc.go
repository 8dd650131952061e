package emit

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Bounds of how cubics are written as arcs.
const (
	// mostHalvings is how often a cubic is halved at most: 1/4096 of a curve that
	// fits a bed is shorter than a millimetre, and only a cusp is not smooth there.
	mostHalvings = 12
	// biarcSamples is at how many places between its ends a part of a cubic is compared
	// with its biarc. The distance between the two is smooth, with an extremum or two on
	// each arc.
	biarcSamples = 8
)

// appendArcs appends lines and arcs along a cubic, each beginning where the last
// one ended and, but for bends smaller than tol, in its direction. They stay within tol mm of the cubic,
// as far as its samples show: a biarc, or those of its halves.
func appendArcs(out []geom.Curve, c geom.Curve, tol float64, halvings int) []geom.Curve {
	if halvings == 0 || c.P.Dist(c.C)+c.C.Dist(c.D)+c.D.Dist(c.Q) < tol {
		return append(out, geom.LineFrom(c.P, c.Q))
	}
	if pair, ok := biarc(c); ok && near(c, pair, tol) {
		return append(out, pair[0], pair[1])
	}
	a, b := c.Split(0.5)
	return appendArcs(appendArcs(out, a, tol, halvings-1), b, tol, halvings-1)
}

// biarc is two arcs from c's start to its end, tangent to c there and to one
// another where they meet. Their control polygon has legs of equal length d at both
// ends: with v the chord and t, u the unit tangents at its ends, |v − d(t + u)| = 2d
// gives 2(1 − t·u)·d² + 2(v·(t + u))·d − v·v = 0 (Bolton, Biarc curves, Computer-Aided Design
// 7, 1975, value from memory; TestBiarcs holds the pair to the tangents and to the cubic).
func biarc(c geom.Curve) (pair [2]geom.Curve, ok bool) {
	v, t, u := c.Q.Sub(c.P), c.Tangent(0), c.Tangent(1)
	sum := t.Add(u)
	// Positive root of a·d² + b·d − v·v, in the form that loses no digits for b > 0.
	a, b := 2*(1-t.Dot(u)), 2*v.Dot(sum)
	d := 2 * v.Dot(v) / (b + math.Sqrt(float64(b*b)+float64(4*a*v.Dot(v))))
	if !(d > 0 && d < 4*v.Len()) { // no legs, or legs that turn more than the curve can
		return pair, false
	}
	join := c.P.Add(t.Mul(d)).Lerp(c.Q.Sub(u.Mul(d)), 0.5)
	pair[0] = tangentArc(c.P, join, t)
	pair[1] = tangentArc(c.Q, join, u.Mul(-1)).Reverse()
	for _, arc := range pair {
		if arc.Kind == geom.Arc && arc.Sweep.Abs().Radians() > math.Pi/2 {
			return pair, false
		}
	}
	return pair, true
}

// tangentArc is the arc from p to q that leaves p in the direction t, of unit
// length: it turns by twice the angle from t to the chord. It is a line where it strays
// from one by less than geom.Tiny.
func tangentArc(p, q, t geom.Point) geom.Curve {
	chord := q.Sub(p)
	turn := geom.AngleBetween(t, chord)
	sin, _ := turn.SinCos()
	if math.Abs(sin)*chord.Len() < geom.Tiny {
		return geom.LineFrom(p, q)
	}
	centre := p.Add(t.Left().Mul(chord.Len() / (2 * sin)))
	return geom.ArcBetween(p, q, centre, turn.Mul(2))
}

// near reports whether samples of c are within tol mm of two arcs.
func near(c geom.Curve, pair [2]geom.Curve, tol float64) bool {
	for i := 1; i <= biarcSamples; i++ {
		p := c.At(float64(i) / (biarcSamples + 1))
		_, a := pair[0].Nearest(p)
		_, b := pair[1].Nearest(p)
		if !(math.Min(a, b) <= tol) {
			return false
		}
	}
	return true
}
