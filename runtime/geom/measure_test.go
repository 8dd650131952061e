package geom

import (
	"math"
	"math/rand"
	"testing"
)

// Bounds hold every point of the curve and each side is reached.
func TestBounds(t *testing.T) {
	eachCurve(t, func(t *testing.T, _ *rand.Rand, c Curve) {
		const n = 2000
		b, seen := c.Bounds(), EmptyBox()
		for i := range n + 1 {
			p := c.At(float64(i) / n)
			seen = seen.Add(p)
			if !b.Grow(1e-10).Contains(p) {
				t.Fatalf("%+v: %v lies outside %v", c, p, b)
			}
		}
		if !seen.Grow(1e-2).Contains(b.Min) || !seen.Grow(1e-2).Contains(b.Max) {
			t.Errorf("%+v: bounds %v, points seen within %v", c, b, seen)
		}
		if !c.reach().Grow(1e-12).Contains(b.Min) || !c.reach().Grow(1e-12).Contains(b.Max) {
			t.Errorf("%+v: reach %v does not hold the bounds %v", c, c.reach(), b)
		}
	})
}

// Quarter arcs end on the axes and have no more bounds than their ends; half
// and full circles are as wide as their diameter.
func TestArcBounds(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		want     Box
	}{
		{0, 90, Box{Pt(0, 0), Pt(5, 5)}},
		{90, 0, Box{Pt(0, 0), Pt(5, 5)}},
		{-90, 90, Box{Pt(0, -5), Pt(5, 5)}},
		{30, 390, Box{Pt(-5, -5), Pt(5, 5)}},
		{135, 45, Box{Pt(-5*math.Sqrt2/2, 5*math.Sqrt2/2), Pt(5*math.Sqrt2/2, 5)}},
	} {
		b := ArcFrom(Polar(5, Degrees(c.from).Angle()), Point{}, Degrees(c.to-c.from).Angle()).Bounds()
		if b.Min.Dist(c.want.Min) > 1e-12 || b.Max.Dist(c.want.Max) > 1e-12 {
			t.Errorf("%g to %g: %v, want %v", c.from, c.to, b, c.want)
		}
	}
}

// n-point Gauss–Legendre quadrature integrates powers up to 2n − 1 exactly:
// over [−1, 1], ∫x^k = 2/(k + 1) for even k. Its weights sum to 2.
func TestGauss16(t *testing.T) {
	for k := 0; k <= 30; k += 2 {
		sum := 0.0
		for _, g := range gauss16 {
			sum += 2 * g[1] * math.Pow(g[0], float64(k))
		}
		if want := 2 / float64(k+1); !near(sum, want, 1e-14) {
			t.Errorf("∫x^%d = %.17g, want %.17g", k, sum, want)
		}
	}
}

// Length is what many short chords add up to; they only ever fall short.
func TestLength(t *testing.T) {
	eachCurve(t, func(t *testing.T, _ *rand.Rand, c Curve) {
		const n = 20000
		sum := 0.0
		for i := range n {
			sum += c.At(float64(i) / n).Dist(c.At(float64(i+1) / n))
		}
		if l := c.Length(); sum > l+1e-8 || sum < l-1e-3 || l > c.hullLength()+1e-9 {
			t.Errorf("%+v: length %g, chords %g, hull %g", c, l, sum, c.hullLength())
		}
	})
}

// A cubic raised from the parabola y = x² over 0…1: its length is
// √5/2 + asinh(2)/4, from ∫√(1 + 4x²).
func TestParabolaLength(t *testing.T) {
	c := CubicFrom(Pt(0, 0), Pt(1.0/3, 0), Pt(2.0/3, 1.0/3), Pt(1, 1))
	if want := math.Sqrt(5)/2 + math.Asinh(2)/4; !near(c.Length(), want, 1e-14) {
		t.Errorf("length %.16g, want %.16g", c.Length(), want)
	}
}

// ParamAt is the inverse of length from the start, and clamps.
func TestParamAt(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		s, l := r.Float64(), c.Length()
		if got := c.Part(0, c.ParamAt(s*l)).Length(); !near(got, s*l, 1e-9) {
			t.Errorf("%+v: asked for %g mm, got %g", c, s*l, got)
		}
		if c.ParamAt(-1) != 0 || c.ParamAt(l+1) != 1 {
			t.Errorf("%+v: not clamped", c)
		}
	})
}

// Nearest is as near as the best of many samples, and is where it says.
func TestNearest(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		p := randomPoint(r, 80)
		if r.Intn(2) == 0 {
			p = c.At(r.Float64()).Add(randomPoint(r, 1))
		}
		s, d := c.Nearest(p)
		if s < 0 || s > 1 || !near(c.At(s).Dist(p), d, 1e-12) {
			t.Fatalf("%+v: nearest to %v at %g, %g", c, p, s, d)
		}
		for i := range 1001 {
			if e := c.At(float64(i) / 1000).Dist(p); e < d-1e-9 {
				t.Fatalf("%+v: %v is %g from %g, and %g from the nearest", c, p, e, float64(i)/1000, d)
			}
		}
	})
}

// A point on the curve is its own nearest.
func TestNearestOnCurve(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		if _, d := c.Nearest(c.At(r.Float64())); d > 1e-11 {
			t.Errorf("%+v: a point on it is %g away", c, d)
		}
	})
}

func TestNearestFromCentre(t *testing.T) {
	c := ArcFrom(Pt(5, 0), Pt(0, 0), Radians(2))
	if _, d := c.Nearest(Pt(0, 0)); !near(d, 5, 1e-14) {
		t.Errorf("the centre is %g away", d)
	}
}

// Flattening stays within its tolerance, the middle of each chord being the
// farthest it can be.
func TestFlatten(t *testing.T) {
	eachCurve(t, func(t *testing.T, _ *rand.Rand, c Curve) {
		const tol = 0.01
		pts := flat(c, tol)
		if pts[0] != c.P || pts[len(pts)-1] != c.Q {
			t.Fatalf("%+v: flattened ends %v, %v", c, pts[0], pts[len(pts)-1])
		}
		for i := 1; i < len(pts); i++ {
			if _, d := c.Nearest(pts[i-1].Lerp(pts[i], 0.5)); d > tol*1.0001 {
				t.Errorf("%+v: a chord strays %g", c, d)
			}
		}
	})
}
