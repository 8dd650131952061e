package emit

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the arcs along a cubic begin and end where it does, each where the last one
// ended and in its direction, but for bends smaller than the tolerance, and lie within that
// of it, either way; and there are
// not many of them: halving the tolerance eightfold doubles the arcs of a curve at most,
// as the distance of a biarc shrinks with the third power of its length.
func TestBiarcs(t *testing.T) {
	rnd := rand.New(rand.NewSource(11))
	fine, coarse := 0, 0
	for i := range 400 {
		size := math.Exp(rnd.Float64()*6 - 1)
		at := func() geom.Point { return geom.Pt(rnd.NormFloat64()*size, rnd.NormFloat64()*size) }
		c := geom.CubicFrom(at(), at(), at(), at())
		const tol = 0.005
		arcs := appendArcs(nil, c, tol, mostHalvings)
		if err := alongCubic(c, arcs, tol); err != "" {
			t.Fatalf("cubic %d, %v: %s", i, c, err)
		}
		fine += len(arcs)
		coarse += len(appendArcs(nil, c, 8*tol, mostHalvings))
	}
	if fine > coarse*5/2 {
		t.Errorf("%d arcs within 0.005 mm, %d within 0.04 mm", fine, coarse)
	}
}

// alongCubic says what is wrong with arcs along a cubic.
func alongCubic(c geom.Curve, arcs []geom.Curve, tol float64) string {
	at := c.P
	for i, a := range arcs {
		if a.P != at {
			return "a gap between arcs"
		}
		if i > 0 && min(a.Length(), arcs[i-1].Length()) > tol && a.Tangent(0).Dot(arcs[i-1].Tangent(1)) < 1-1e-6 {
			return "a corner between arcs"
		}
		at = a.Q
		for s := range 9 {
			if _, d := c.Nearest(a.At(float64(s) / 8)); d > 1.1*tol {
				return "an arc is off the cubic"
			}
		}
	}
	if at != c.Q || arcs[0].Length() > tol && arcs[0].Tangent(0).Dist(c.Tangent(0)) > 1e-6 {
		return "does not begin or end as the cubic does"
	}
	for s := range 200 {
		p, best := c.At(float64(s)/199), math.Inf(1)
		for _, a := range arcs {
			_, d := a.Nearest(p)
			best = math.Min(best, d)
		}
		if best > 1.1*tol {
			return "the cubic is off the arcs"
		}
	}
	return ""
}

// A cubic that doubles back on itself has no arcs at its turning point and is
// written all the same; one without length is a line.
func TestBiarcsOfCusps(t *testing.T) {
	p, q := geom.Pt(0, 0), geom.Pt(30, 0)
	for _, c := range []geom.Curve{
		geom.CubicFrom(p, geom.Pt(60, 0), geom.Pt(-30, 0), q),   // straight, there and back
		geom.CubicFrom(p, geom.Pt(30, 30), geom.Pt(0, 30), q),   // a cusp
		geom.CubicFrom(p, geom.Pt(1e-9, 0), geom.Pt(0, 0), p),   // nothing
		geom.CubicFrom(p, geom.Pt(40, 40), geom.Pt(-40, 40), p), // comes home
	} {
		arcs := appendArcs(nil, c, 0.005, mostHalvings)
		if len(arcs) == 0 || len(arcs) > 400 || arcs[0].P != c.P || arcs[len(arcs)-1].Q != c.Q {
			t.Errorf("%v: %d arcs", c, len(arcs))
		}
		for s := range 100 {
			best := math.Inf(1)
			for _, a := range arcs {
				_, d := a.Nearest(c.At(float64(s) / 99))
				best = math.Min(best, d)
			}
			if best > 0.006 {
				t.Errorf("%v is %v mm off its arcs", c, best)
				break
			}
		}
	}
}
