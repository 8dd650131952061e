package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// reach is how far from its start a curve is sure to get.
func reach(c geom.Curve) float64 {
	far := c.P.Dist(c.Q)
	if c.Kind != geom.Line {
		far = math.Max(far, c.P.Dist(c.At(0.5)))
	}
	return far
}

// leaves is the direction of the point where the curve first
// leaves the circle of radius r round its start; r is less than its reach.
func leaves(c geom.Curve, r float64) geom.Angle {
	switch c.Kind {
	case geom.Arc:
		// A chord turns from the tangent by half the angle it spans.
		turn := geom.Asin(math.Min(1, r/(2*c.R))).Radians()
		return c.Tangent(0).Angle().Add(geom.Radians(math.Copysign(turn, c.Sweep.Radians()))).Normalize()
	case geom.Cubic:
		return cubicLeaves(c, r)
	}
	return c.Q.Sub(c.P).Angle()
}

// cubicLeaves walks to the first step outside the circle, then bisects.
func cubicLeaves(c geom.Curve, r float64) geom.Angle {
	const steps = 64
	lo, hi := 0.0, 1.0
	for i := 1; i <= steps; i++ {
		if t := float64(i) / steps; c.At(t).Dist(c.P) >= r {
			lo, hi = float64(i-1)/steps, t
			break
		}
	}
	_, hi = geom.Bisect(lo, hi, func(t float64) bool { return c.At(t).Dist(c.P) < r })
	return c.At(hi).Sub(c.P).Angle()
}
