package geom

import "math"

// LeastRadius is the least radius of curvature along a curve in mm, and where it
// is: infinite for a line, 0 where a cubic comes to a point.
//
// That of a cubic is |c'|³ / |c' × c”| (do Carmo, Differential Geometry of Curves
// and Surfaces, 1.5). It is looked for at radiusSamples places, and about the least of these by
// halving the step radiusHalvings times, which finds it to ten digits where the curvature
// has one peak between neighbouring places.
func (c Curve) LeastRadius() (r, t float64) {
	switch c.Kind {
	case Line:
		return math.Inf(1), 0
	case Arc:
		return c.R, 0
	}
	r = math.Inf(1)
	for i := range radiusSamples + 1 {
		if s := float64(i) / radiusSamples; c.radiusAt(s) < r {
			r, t = c.radiusAt(s), s
		}
	}
	for step, k := 1.0/radiusSamples, 0; k < radiusHalvings; step, k = step/2, k+1 {
		for _, s := range [...]float64{math.Max(0, t-step/2), math.Min(1, t+step/2)} {
			if q := c.radiusAt(s); q < r {
				r, t = q, s
			}
		}
	}
	return r, t
}

const (
	radiusSamples  = 64
	radiusHalvings = 30
)

// radiusAt is the radius of curvature of a cubic at t; 0 where it stands still.
func (c Curve) radiusAt(t float64) float64 {
	d1, d2 := c.Derivatives(t)
	speed, turn := math.Hypot(d1.X, d1.Y), math.Abs(d1.Cross(d2))
	switch {
	case speed < SnapTolerance*SnapTolerance:
		return 0
	case turn == 0:
		return math.Inf(1)
	}
	return speed * speed * speed / turn
}
