package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// selfCrossing gives the two parameters at which a cubic passes through one
// point, if it makes a loop.
//
// With B(t) = a·t³ + b·t² + k·t + P, B(t) = B(s) divided by t − s reads
// a·(u² − v) + b·u + k = 0 in u = t + s and v = t·s; its cross product with a
// gives u, its dot product v.
func selfCrossing(c geom.Curve) (t0, t1 float64, ok bool) {
	if c.Kind != geom.Cubic {
		return 0, 0, false
	}
	k := c.C.Sub(c.P).Mul(3)
	b := c.D.Sub(c.C.Mul(2)).Add(c.P).Mul(3)
	a := c.Q.Sub(c.P).Sub(c.D.Sub(c.C).Mul(3))
	ba := b.Cross(a)
	if math.Abs(ba) <= 1e-12*(a.Dot(a)+b.Dot(b)) {
		return 0, 0, false
	}
	u := -k.Cross(a) / ba
	v := u*u + b.Mul(u).Add(k).Dot(a)/a.Dot(a)
	disc := u*u - 4*v
	if !(disc > 0) {
		return 0, 0, false
	}
	t0, t1 = (u-math.Sqrt(disc))/2, (u+math.Sqrt(disc))/2
	// Strictly inside: a loop that closes in the curve's own ends needs no cut.
	inside := t0 >= 0 && t1 <= 1 && (t0 > 0 || t1 < 1)
	return t0, t1, inside && c.Part(t0, t1).Length() > 4*geom.Weld
}
