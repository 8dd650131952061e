package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the point in the given direction and distance lies on the curve, and no
// earlier point of the curve is as far away.
func TestLeaves(t *testing.T) {
	rnd := rand.New(rand.NewSource(10))
	for range 2000 {
		c := randomCurves(rnd, 1)[0]
		r := reach(c) * (0.05 + 0.9*rnd.Float64())
		at := c.P.Add(geom.Polar(r, leaves(c, r)))
		u, off := c.Nearest(at)
		if off > 1e-6 {
			t.Fatalf("%v: %v lies %v off", c, at, off)
		}
		for i := range 50 {
			if before := c.At(u * float64(i) / 50); before.Dist(c.P) > r*(1+1e-3) {
				t.Fatalf("%v: was at %v before %v", c, before, at)
			}
		}
	}
}

// A closed curve reaches as far as its middle.
func TestReachOfAFullTurn(t *testing.T) {
	if got := reach(geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))); math.Abs(got-10) > 1e-9 {
		t.Errorf("%v, want 10", got)
	}
}
