package geom_test

import (
	"math"
	"math/rand"
	"testing"

	. "github.com/creasewright/creasewright/runtime/geom"
)

// Radii that are known: a line, an arc, and the parabola y = x² as a cubic, whose radius is
// ½(1 + 4x²)^1.5 (do Carmo, 1.5), least at its apex, within the piece or at its end.
func TestLeastRadius(t *testing.T) {
	parabola := func(a, b float64) Curve {
		// A quadratic raised to a cubic: control points at a third from either end.
		p, q := Pt(a, a*a), Pt(b, b*b)
		m := Pt((a+b)/2, a*b)
		return CubicFrom(p, p.Add(m.Sub(p).Mul(2.0/3)), q.Add(m.Sub(q).Mul(2.0/3)), q)
	}
	at := func(x float64) float64 { return 0.5 * math.Pow(1+4*x*x, 1.5) }
	for _, c := range []struct {
		name    string
		curve   Curve
		r, t    float64
		isCubic bool
	}{
		{"line", LineFrom(Pt(0, 0), Pt(3, 4)), math.Inf(1), 0, false},
		{"arc", ArcFrom(Pt(5, 0), Pt(0, 0), Radians(1)), 5, 0, false},
		{"through the apex", parabola(-1, 2), 0.5, 1.0 / 3, true},
		{"beside the apex", parabola(1, 3), at(1), 0, true},
		{"straight cubic", CubicFrom(Pt(0, 0), Pt(1, 0), Pt(2, 0), Pt(3, 0)), math.Inf(1), 0, false},
		{"point", CubicFrom(Pt(0, 0), Pt(0, 0), Pt(0, 0), Pt(0, 0)), 0, 0, false},
	} {
		r, at := c.curve.LeastRadius()
		if !(r == c.r || math.Abs(r-c.r) < 1e-9) || c.isCubic && math.Abs(at-c.t) > 1e-4 {
			t.Errorf("%s: %g at %g, want %g at %g", c.name, r, at, c.r, c.t)
		}
	}
}

// No place of a random cubic has a smaller radius, by three points close together.
func TestLeastRadiusOfCubics(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	p := func() Point { return Pt(rnd.Float64()*100, rnd.Float64()*100) }
	for range 200 {
		c := CubicFrom(p(), p(), p(), p())
		least, _ := c.LeastRadius()
		for i := 1; i < 1000; i++ {
			s := float64(i) / 1000
			a, b, d := c.At(s-1e-4), c.At(s), c.At(s+1e-4)
			area := math.Abs(b.Sub(a).Cross(d.Sub(a))) / 2
			if r := a.Dist(b) * b.Dist(d) * d.Dist(a) / (4 * area); r < least*(1-1e-3) && r > 1e-2 {
				t.Fatalf("%v: radius %g at %g, the least is said to be %g", c, r, s, least)
			}
		}
	}
}
