package region

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// ray is one end of a half-edge at a node.
type ray struct {
	half  int        // its place among the half-edges given to Rings
	out   bool       // whether the half-edge leaves the node
	curve geom.Curve // its geometry, from the node outward
	// angle in radians at which the curve first leaves a circle about the node
	// that all rays of the node share, and a bound on the error of it.
	angle, slack float64
}

// sortRays puts the rays of one node in counter-clockwise order. They are
// compared by the directions in which they first leave a common circle: curves
// that do not cross within it leave it in the order in which they leave the
// node, as disjoint curves from the centre of a disc to its rim do. The circle
// is half as large as the shortest ray allows, so that tangent curves have come
// apart by their curvature.
func sortRays(rays []ray) {
	radius := math.Inf(1)
	for _, r := range rays {
		radius = min(radius, reach(r.curve)/2)
	}
	for i := range rays {
		r := &rays[i]
		r.angle, r.slack = leaves(r.curve, radius).Radians(), leavesError(r.curve, radius)
	}
	slices.SortStableFunc(rays, func(x, y ray) int { return cmp.Compare(x.angle, y.angle) })
	// Angles jump by a turn at −x. The order is made to begin behind the widest
	// gap instead, where no two rays are in doubt.
	begin, widest := 0, 0.0
	for i := range rays {
		gap := rays[i].angle - rays[(i+len(rays)-1)%len(rays)].angle
		if i == 0 {
			gap += 2 * math.Pi
		}
		if gap > widest {
			begin, widest = i, gap
		}
	}
	for i := range begin {
		rays[i].angle += 2 * math.Pi
	}
	slices.SortStableFunc(rays, compareRays)
}

// compareRays is negative where x comes before y counter-clockwise, for rays
// less than a half turn apart. It is filtered: angles that differ by more than
// their error bounds are in the order of the exact directions, and with them the
// curves. Else the two are looked at again where the shorter of them is half
// gone, and if that does not tell either, by their tangents and curvatures in
// the node, exactly. 0 is left for curves that have both in common.
//
// The bounds, u = 2⁻⁵³. geom's arc tangent is good to 3 units in the last place,
// at most 1.4e-15 for a result up to π. A line's direction is one rounded
// difference in each coordinate, u of itself. An arc's is its tangent turned by
// asin(r/2R), where r ≤ R holds: the tangent's rounding and that of the sine's argument,
// each a few u, sum up to less than 1e-15, the last place of the sums and of 2π,
// added or taken off, to 2e-15. Together they stay below 5e-15, half of what
// leavesError gives. For a cubic see there.
func compareRays(x, y ray) int {
	if d := x.angle - y.angle; !(math.Abs(d) <= x.slack+y.slack) {
		return cmp.Compare(d, 0)
	}
	r := min(reach(x.curve), reach(y.curve)) / 2
	d := leaves(x.curve, r).Sub(leaves(y.curve, r)).Normalize().Radians()
	if !(math.Abs(d) <= leavesError(x.curve, r)+leavesError(y.curve, r)) {
		return cmp.Compare(d, 0)
	}
	return compareInNode(x.curve, y.curve)
}

// reach is a distance in mm from its start that a curve gets to without ever
// coming nearer on its way, so that it leaves smaller circles about its start
// once on that way.
func reach(c geom.Curve) float64 {
	switch c.Kind {
	case geom.Arc:
		// Up to a half turn the distance grows.
		return math.Max(c.P.Dist(c.Q), c.P.Dist(c.At(0.5)))
	case geom.Cubic:
		return c.P.Dist(c.At(outward(c)))
	}
	return c.P.Dist(c.Q)
}

// outward is a parameter up to which a cubic runs away from its start: to there
// its derivative stays within a wedge of 60°, spanned by the sides of the control
// polygon. B − P, an integral of derivatives, lies in the same wedge, and
// |B − P| grows at no less than half the curve's speed. A cubic that turns back
// within 2⁻¹⁰ of its parameter has no such part, and gets 1.
func outward(c geom.Curve) float64 {
	for t := 1.0; t > 1.0/2048; t /= 2 {
		p := c.Part(0, t)
		a, b, d := p.C.Sub(p.P), p.D.Sub(p.C), p.Q.Sub(p.D)
		if within60(a, b) && within60(b, d) && within60(a, d) {
			return t
		}
	}
	return 1
}

func within60(u, v geom.Point) bool { return u.Dot(v) >= u.Len()*v.Len()/2 }

// leaves is the direction, seen from its start, of the point where the curve
// first leaves the circle of radius r about it; r is at most half its reach.
func leaves(c geom.Curve, r float64) geom.Angle {
	switch c.Kind {
	case geom.Arc:
		// A chord turns from the tangent by half the angle it spans. The radius
		// is the start's own, from which c.R may differ by geom.Tiny.
		turn := geom.Asin(math.Min(1, r/(2*c.P.Dist(c.C)))).Radians()
		return c.Tangent(0).Angle().Add(geom.Radians(math.Copysign(turn, c.Sweep.Radians()))).Normalize()
	case geom.Cubic:
		origin := fromStart(c)
		_, t := geom.Bisect(0, outward(c), func(t float64) bool { return origin.At(t).Len() < r })
		return origin.At(t).Angle()
	}
	return c.Q.Sub(c.P).Angle()
}

// fromStart is the cubic measured from its start, so that far-off coordinates cost no digits.
func fromStart(c geom.Curve) geom.Curve {
	return geom.CubicFrom(geom.Point{}, c.C.Sub(c.P), c.D.Sub(c.P), c.Q.Sub(c.P))
}

// leavesError bounds the error of leaves in radians; for lines and arcs see
// compareRays.
//
// With L the length of the cubic's control polygon, a point measured from the
// start is off by no more than 12u·L (8 roundings in each of two coordinates).
// The circle is found to be passed where the distance is r but for that and for
// what the curve does in the last place of t, 3u·L: by less than 16u·L.
// Since the distance grows with at least half the speed, the point lies up to
// 32u·L along the curve from the true one, and its direction is off by (32 + 12)u·L/r at most. That is safe, not sharp.
func leavesError(c geom.Curve, r float64) float64 {
	const roundings = 1e-14
	if c.Kind != geom.Cubic {
		return roundings
	}
	length := c.P.Dist(c.C) + c.C.Dist(c.D) + c.D.Dist(c.Q)
	return roundings + 44.0/(1<<53)*length/r
}

// compareInNode compares two curves that leave one point by their tangents
// there, and where these are one direction by their curvatures. It is exact for
// the numbers given: negative where x runs to the right of y, 0 where neither
// tells.
func compareInNode(x, y geom.Curve) int {
	u, v := exactTangent(x), exactTangent(y)
	if side := u.cross(v).Sign(); side != 0 || u.dot(v).Sign() <= 0 {
		return -side
	}
	return signedCurvature(x).Cmp(signedCurvature(y))
}

// exact is a vector of the plane in exact arithmetic.
type exact struct{ x, y *big.Rat }

// exactly is q − p without rounding.
func exactly(p, q geom.Point) exact {
	minus := func(a, b float64) *big.Rat {
		x, y := new(big.Rat).SetFloat64(a), new(big.Rat).SetFloat64(b)
		return x.Sub(x, y)
	}
	return exact{minus(q.X, p.X), minus(q.Y, p.Y)}
}

func (u exact) cross(v exact) *big.Rat {
	a, b := new(big.Rat).Mul(u.x, v.y), new(big.Rat).Mul(u.y, v.x)
	return a.Sub(a, b)
}

func (u exact) dot(v exact) *big.Rat {
	a, b := new(big.Rat).Mul(u.x, v.x), new(big.Rat).Mul(u.y, v.y)
	return a.Add(a, b)
}

// exactTangent is a vector of any length in the direction in which the curve
// leaves its start.
func exactTangent(c geom.Curve) exact {
	switch c.Kind {
	case geom.Arc:
		radius := exactly(c.C, c.P)
		left := exact{new(big.Rat).Neg(radius.y), radius.x}
		if c.Sweep.Radians() < 0 {
			left = exact{radius.y, new(big.Rat).Neg(radius.x)}
		}
		return left
	case geom.Cubic:
		for _, q := range [...]geom.Point{c.C, c.D} {
			if q != c.P {
				return exactly(c.P, q)
			}
		}
	}
	return exactly(c.P, c.Q)
}

// signedCurvature is the square of the curvature at the start in 1/mm²,
// negative where the curve turns right. Squares of rational numbers stay
// rational; as the sign is kept they compare as the curvatures do. A cubic's is
// ⅔·(C − P) × (D − P) / |C − P|³; one that has C on P counts as straight.
func signedCurvature(c geom.Curve) *big.Rat {
	k, sign := new(big.Rat), 0
	switch {
	case c.Kind == geom.Arc:
		radius := exactly(c.C, c.P)
		k.Inv(radius.dot(radius))
		sign = cmp.Compare(c.Sweep.Radians(), 0)
	case c.Kind == geom.Cubic && c.C != c.P:
		u := exactly(c.P, c.C)
		cross, square := u.cross(exactly(c.P, c.D)), u.dot(u)
		cube := new(big.Rat).Mul(square, new(big.Rat).Mul(square, square)) // |u|⁶
		sign = cross.Sign()
		k.Quo(cross.Mul(cross, cross), cube)
		k.Mul(k, big.NewRat(4, 9))
	}
	if sign < 0 {
		k.Neg(k)
	}
	return k
}
