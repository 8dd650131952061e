package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// growError is how far, in millimetres, the offset of a cubic may lie from the
// true one, which is no cubic. Half the tenth of a fine cut's width.
const growError = 2.5e-4

// splitAtCusps cuts a cubic where it stops dead and turns back, so that every
// part has a tangent throughout.
func splitAtCusps(c geom.Curve) []geom.Curve {
	if c.Kind != geom.Cubic {
		return []geom.Curve{c}
	}
	// The speed is least where velocity and acceleration are square; a cusp has
	// none at all there. Steps of 1/64 cannot pass a cusp unseen: on each side of
	// it the dot product keeps its sign for as long as the curve runs straight.
	const steps = 64
	pull := func(t float64) float64 { d1, d2 := c.Derivatives(t); return d1.Dot(d2) }
	for i := 1; i < steps-1; i++ {
		lo, hi := float64(i)/steps, float64(i+1)/steps
		if pull(lo) > 0 || pull(hi) <= 0 {
			continue
		}
		t := signChange(pull, lo, hi)
		if d1, _ := c.Derivatives(t); d1.Len() <= geom.Tiny*(1+c.P.Dist(c.C)+c.D.Dist(c.Q)) {
			l, r := c.Split(t)
			return []geom.Curve{l, r}
		}
	}
	return []geom.Curve{c}
}

// signChange finds where f, at most 0 at lo and above it at hi or the other way
// round, changes sign.
func signChange(f func(float64) float64, lo, hi float64) float64 {
	rises := f(hi) > 0
	lo, hi = geom.Bisect(lo, hi, func(t float64) bool { return (f(t) > 0) != rises })
	return (lo + hi) / 2
}

// parallel is the offset of a cubic to its right by d.
type parallel struct {
	geom.Curve
	d float64
}

func (p parallel) at(t float64) geom.Point { return p.At(t).Add(rightOf(p.Curve, t).Mul(p.d)) }

// speed is the offset's derivative along the tangent: the curve's own speed
// times 1 + d·curvature. It is negative beyond the centre of curvature.
func (p parallel) speed(t float64) float64 {
	d1, d2 := p.Derivatives(inside(t))
	v := d1.Len()
	return v + p.d*d1.Cross(d2)/(v*v)
}

// inside keeps a parameter off the ends, where the curvature is only a limit if
// a control point falls on the end.
func inside(t float64) float64 { return math.Min(math.Max(t, 1e-7), 1-1e-7) }

// centre is the centre of curvature, nearer than d where the speed is negative.
func (p parallel) centre(t float64) geom.Point {
	d1, d2 := p.Derivatives(inside(t))
	v := d1.Len()
	return p.At(t).Sub(rightOf(p.Curve, t).Mul(v * v * v / d1.Cross(d2)))
}

// turns lists 0, the parameters where the speed changes sign, and 1. Sign changes
// are looked for between 64 samples; two within one step are missed, and the
// fit then does not fold back where the true offset does within the step.
func (p parallel) turns() []float64 {
	const steps = 64
	ts := []float64{0}
	for i := range steps {
		lo, hi := float64(i)/steps, float64(i+1)/steps
		if (p.speed(lo) < 0) != (p.speed(hi) < 0) {
			ts = append(ts, signChange(p.speed, lo, hi))
		}
	}
	return append(ts, 1)
}

// shiftCubic offsets a cubic edge. Stretches whose centre of curvature is
// nearer than the offset have none; there the chain follows the centres, well
// inside what its neighbours sweep.
func shiftCubic(e geom.Edge, d float64) *shifted {
	p := parallel{e.Curve, d}
	s := &shifted{Edge: e, fullStart: p.speed(0) >= 0, fullEnd: p.speed(1) >= 0}
	ts := p.turns()
	for i := 1; i < len(ts); i++ {
		if a, b := ts[i-1], ts[i]; p.speed((a+b)/2) >= 0 {
			s.curves = p.fit(a, b, 12, s.curves)
		} else {
			s.curves = p.follow(a, b, s.curves)
		}
	}
	s.start, s.end = s.curves[0].P, s.curves[len(s.curves)-1].Q
	return s
}

// follow appends four lines along the centres of curvature from a to b, where
// they run inside what the neighbouring strips cover. They need not be exact:
// only their ends matter to the winding numbers outside of that.
func (p parallel) follow(a, b float64, out []geom.Curve) []geom.Curve {
	const steps = 4
	at := p.centre(a)
	if len(out) > 0 {
		at = out[len(out)-1].Q
	}
	for i := 1; i <= steps; i++ {
		next := p.centre(a + float64((b-a)*float64(i)/steps))
		if i == steps && b < 1 {
			next = p.at(b)
		}
		out = append(out, geom.LineFrom(at, next))
		at = next
	}
	return out
}

// fit appends cubics along the offset from a to b, halved until they stray by no
// more than growError, at most depth times.
func (p parallel) fit(a, b float64, depth int, out []geom.Curve) []geom.Curve {
	c := p.through(a, b)
	if depth == 0 || p.strays(c, a, b) <= growError {
		return append(out, c)
	}
	m := (a + b) / 2
	return p.fit(m, b, depth-1, p.fit(a, m, depth-1, out))
}

// through is the cubic with the offset's ends and tangents that passes through
// its mid-point; where the tangents are too near parallel for that, or it would
// need odd handles, the one with the offset's speed at both ends.
func (p parallel) through(a, b float64) geom.Curve {
	from, to, mid := p.at(a), p.at(b), p.at((a+b)/2)
	u, v := p.Tangent(a), p.Tangent(b)
	su, sv := p.speed(a)*(b-a)/3, p.speed(b)*(b-a)/3
	// At ½ a cubic is (P + 3C + 3D + Q)/8, so su·u − sv·v is known.
	w := mid.Sub(from.Lerp(to, 0.5)).Mul(8.0 / 3)
	if cross := v.Cross(u); math.Abs(cross) > 1e-3 {
		x, y := v.Cross(w)/cross, u.Cross(w)/cross
		if sized(x, su) && sized(y, sv) {
			su, sv = x, y
		}
	}
	return geom.CubicFrom(from, from.Add(u.Mul(su)), to.Sub(v.Mul(sv)), to)
}

// sized reports whether a handle is about as long as the speed asks for.
func sized(x, want float64) bool { return x > want/2 && x < 2*want }

// strays is the largest distance in mm of seven points of the offset from the fit.
func (p parallel) strays(c geom.Curve, a, b float64) float64 {
	const steps = 8
	worst := 0.0
	for i := 1; i < steps; i++ {
		_, d := c.Nearest(p.at(a + float64((b-a)*float64(i)/steps)))
		worst = math.Max(worst, d)
	}
	return worst
}
