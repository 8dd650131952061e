package region

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: winding numbers on the two sides of a piece are those of points a little
// to its left and right, for tangles of closed chains that cover pieces several
// times and either way.
func TestWindAgainstPointsBeside(t *testing.T) {
	const aside = 0.01
	for seed := range int64(60) {
		rnd := rand.New(rand.NewSource(seed))
		var curves []geom.Curve
		for range 1 + rnd.Intn(3) {
			p, _ := randomPair(rnd)
			ring := p.Curves()
			if rnd.Intn(2) == 0 {
				ring = reversed(ring)
			}
			curves = append(curves, ring...)
			if rnd.Intn(2) == 0 {
				curves = append(curves, ring...)
			}
		}
		a := Arrange(curves)
		w := a.wind(0, len(curves))
		for k, p := range a.Edges {
			mid, n := p.At(0.5), p.Tangent(0.5).Left().Mul(aside)
			if !clear(a, k, mid, 3*aside) {
				continue
			}
			left, right := geom.Winding(curves, mid.Add(n)), geom.Winding(curves, mid.Sub(n))
			if w.left[k] != left || w.right(k) != right {
				t.Errorf("seed %d: piece %d has %d on its left and %d on its right, beside it are %d and %d",
					seed, k, w.left[k], w.right(k), left, right)
			}
		}
	}
}

// clear reports whether no other piece comes near a point.
func clear(a Arrangement, k int, at geom.Point, near float64) bool {
	for i, p := range a.Edges {
		if _, d := p.Nearest(at); i != k && d < near || i == k && p.Length() < 4*near {
			return false
		}
	}
	return true
}

// A full turn, a half circle bulging either way and a curve with a tight bend
// at its middle are passed on their right.
func TestDetour(t *testing.T) {
	full := geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	for _, c := range []geom.Curve{
		full, full.Reverse(),
		geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(math.Pi)), geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(-1.9*math.Pi)),
		geom.LineFrom(geom.Pt(0, 0), geom.Pt(3, 4)),
		geom.CubicFrom(geom.Pt(0, 0), geom.Pt(20, 10), geom.Pt(-19, 10), geom.Pt(1, 0)),
		geom.CubicFrom(geom.Pt(0, 0), geom.Pt(10, 10.2), geom.Pt(0, 10), geom.Pt(10, 0)),
	} {
		var back []geom.Curve
		if c.P != c.Q { // close it the long way round the left
			far := c.Tangent(0.5).Left().Mul(100)
			back = []geom.Curve{geom.LineFrom(c.Q, c.Q.Add(far)), geom.LineFrom(c.Q.Add(far), c.P.Add(far)), geom.LineFrom(c.P.Add(far), c.P)}
		}
		beside := c.At(0.5).Add(c.Tangent(0.5).Left().Mul(1e-3))
		want := geom.Winding(append([]geom.Curve{c}, back...), beside)
		around := detourRight(c)
		if got := geom.Winding(slices.Concat(around[:], back), c.At(0.5)); got != want {
			t.Errorf("%v: %d, want %d", c, got, want)
		}
	}
}
