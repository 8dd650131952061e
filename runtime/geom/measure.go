package geom

import "math"

// Bounds is the smallest upright box round the curve: of its ends and the places
// where x or y has an extremum, for an arc the four quarters of its circle that it
// passes, for a cubic the zeros of either derivative. Exact but for rounding.
func (c Curve) Bounds() Box {
	b := BoxOf(c.P, c.Q)
	switch c.Kind {
	case Arc:
		for i, dir := range [...]Point{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			if t := c.angleParam(Radians(float64(i) * math.Pi / 2)); t > 0 && t < 1 {
				b = b.Add(c.C.Add(dir.Mul(c.R)))
			}
		}
	case Cubic:
		for _, t := range c.cubicExtremes() {
			b = b.Add(c.At(t))
		}
	}
	return b
}

// angleParam is the parameter at which an arc faces a direction from its
// centre, or a value outside [0, 1] when it does not.
// The parameter is the angle in radians from P, in the direction of the sweep and
// within [0, 2π), over the sweep. A direction that rounding puts just before P
// therefore comes out near 2π/|sweep|, not near 0.
func (c Curve) angleParam(direction Angle) float64 {
	d := math.Mod(direction.Radians()-c.P.Sub(c.C).Angle().Radians(), 2*math.Pi)
	if c.Sweep.Radians() < 0 {
		d = -d
	}
	if d < 0 {
		d += 2 * math.Pi
	}
	return d / c.Sweep.Abs().Radians()
}

// cubicExtremes lists the parameters inside (0, 1) at which x or y has an
// extremum, in no order.
func (c Curve) cubicExtremes() []float64 {
	x, y := c.coordinates(c.P)
	return y.derivative().roots(x.derivative().roots(nil))
}

// gauss16 holds the positive nodes and the weights of 16-point Gauss–Legendre
// quadrature (values from memory, checked in a test by integrating powers).
var gauss16 = [...][2]float64{
	{0.0950125098376374, 0.1894506104550685},
	{0.2816035507792589, 0.1826034150449236},
	{0.4580167776572274, 0.1691565193950025},
	{0.6178762444026438, 0.1495959888165767},
	{0.7554044083550030, 0.1246289712555339},
	{0.8656312023878318, 0.0951585116824928},
	{0.9445750230732326, 0.0622535239386479},
	{0.9894009349916499, 0.0271524594117541},
}

// cubicLength is the length in mm between parameters a and b, the integral of the
// speed. An interval is halved until its estimate and the sum of its halves' agree to
// 1e-13 of themselves, up to 12 times, as round a cusp, where the speed has a kink,
// they never do.
func (c Curve) cubicLength(a, b float64) float64 {
	return c.refineLength(a, b, c.speedIntegral(a, b), 12)
}

// refineLength is the length from a to b, of which whole is one estimate.
// depth is how many more halvings are allowed. Where no level agrees it takes
// 2^(depth+2) − 2 evaluations of the quadrature rule.
func (c Curve) refineLength(a, b, whole float64, depth int) float64 {
	m := (a + b) / 2
	l, r := c.speedIntegral(a, m), c.speedIntegral(m, b)
	if depth == 0 || math.Abs(l+r-whole) <= 1e-13*(l+r) {
		return l + r
	}
	return c.refineLength(a, m, l, depth-1) + c.refineLength(m, b, r, depth-1)
}

// speedIntegral is the length from a to b by one 16-point Gauss–Legendre rule,
// exact where the speed is a polynomial of degree 31 or less.
func (c Curve) speedIntegral(a, b float64) float64 {
	h, m, sum := float64((b-a)/2), float64((a+b)/2), 0.0
	for _, g := range gauss16 {
		off := float64(h * g[0])
		sum += float64(g[1] * (c.cubicSpeed(m+off) + c.cubicSpeed(m-off)))
	}
	return sum * h
}

// cubicSpeed is |B′| at t in mm.
func (c Curve) cubicSpeed(t float64) float64 {
	s := 1 - t
	return float64(3 * c.C.Sub(c.P).Mul(s*s).Add(c.D.Sub(c.C).Mul(2*s*t)).Add(c.Q.Sub(c.D).Mul(t*t)).Len())
}

// ParamAt is the parameter at a length in mm from the start, clamped to the curve.
// On cubics it is good to a tenth of Tiny in length, found by Newton's method on
// the length, whose derivative is the speed, within a bracket that shrinks with
// every step, so that it converges where the speed is 0 too.
func (c Curve) ParamAt(length float64) float64 {
	total := c.Length()
	switch {
	case length <= 0 || total == 0:
		return 0
	case length >= total:
		return 1
	case c.Kind != Cubic:
		return length / total
	}
	lo, hi, t := 0.0, 1.0, length/total
	for range 60 {
		f := c.cubicLength(0, t) - length
		if math.Abs(f) < Tiny/10 {
			break
		}
		if f > 0 {
			hi = t
		} else {
			lo = t
		}
		if v := c.cubicSpeed(t); v > 0 {
			t -= f / v
		}
		if t <= lo || t >= hi {
			t = (lo + hi) / 2
		}
	}
	return t
}

// Nearest is the parameter of the curve's point closest to p, and its distance in
// mm: the foot of the perpendicular on a line, the point in p's direction on an arc,
// or the nearer end where that is not on the curve. Of several points equally
// close any may come.
func (c Curve) Nearest(p Point) (t, dist float64) {
	switch c.Kind {
	case Arc:
		if t = c.angleParam(p.Sub(c.C).Angle()); t > 1 || p == c.C {
			t = 0
			if p.Dist(c.Q) < p.Dist(c.P) {
				t = 1
			}
		}
	case Cubic:
		return c.cubicNearest(p)
	default:
		d := c.Q.Sub(c.P)
		if l := d.Dot(d); l > 0 {
			t = math.Max(0, math.Min(1, p.Sub(c.P).Dot(d)/l))
		}
	}
	return t, c.At(t).Dist(p)
}

// cubicNearest compares the ends with every place where the line to p stands
// square to the curve: the zeros of (B − p)·B′, a polynomial of degree five.
func (c Curve) cubicNearest(p Point) (float64, float64) {
	best, dist := 0.0, p.Dist(c.P)
	if d := p.Dist(c.Q); d < dist {
		best, dist = 1, d
	}
	x, y := c.coordinates(p)
	var buf [9]float64
	for _, t := range x.times(x.derivative()).plus(y.times(y.derivative())).roots(buf[:0]) {
		if d := c.At(t).Dist(p); d < dist {
			best, dist = t, d
		}
	}
	return best, dist
}

// hull is the length in mm of the control polygon, which the curve never exceeds.
func (c Curve) hull() float64 { return c.P.Dist(c.C) + c.C.Dist(c.D) + c.D.Dist(c.Q) }

// Derivatives are the first and second derivatives by the parameter at t, in mm.
func (c Curve) Derivatives(t float64) (d1, d2 Point) {
	switch c.Kind {
	case Arc:
		r := c.At(t).Sub(c.C)
		return r.Left().Mul(c.Sweep.Radians()), r.Mul(-c.Sweep.Radians() * c.Sweep.Radians())
	case Cubic:
		s := 1 - t
		d1 = c.C.Sub(c.P).Mul(3 * s * s).Add(c.D.Sub(c.C).Mul(6 * s * t)).Add(c.Q.Sub(c.D).Mul(3 * t * t))
		d2 = c.P.Sub(c.C.Mul(2)).Add(c.D).Mul(6 * s).Add(c.C.Sub(c.D.Mul(2)).Add(c.Q).Mul(6 * t))
		return d1, d2
	}
	return c.Q.Sub(c.P), Point{}
}

// Flatten appends to pts a chain of points from P to Q, P itself left out, that
// stays within tol mm of the curve. For pictures and cross-checks only. A part of an
// arc that turns by φ strays from its chord by R(1 − cos φ/2), so parts of
// 2·acos(1 − tol/R) or less will do.
func (c Curve) Flatten(pts []Point, tol float64) []Point {
	switch c.Kind {
	case Arc:
		n := 1
		if c.R > tol {
			n = int(math.Ceil(c.Sweep.Abs().Radians() / (2 * Acos(1-tol/c.R).Radians())))
		}
		for i := 1; i < n; i++ {
			pts = append(pts, c.At(float64(i)/float64(n)))
		}
	case Cubic:
		// Chord error of n equal parts is at most |B″|/(8n²) (Taylor).
		a := c.P.Sub(c.C.Mul(2)).Add(c.D).Len()
		b := c.C.Sub(c.D.Mul(2)).Add(c.Q).Len()
		n := int(math.Ceil(math.Sqrt(6 * math.Max(a, b) / (8 * tol))))
		for i := 1; i < n; i++ {
			pts = append(pts, c.At(float64(i)/float64(n)))
		}
	}
	return append(pts, c.Q)
}
