package region

import (
	"errors"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// isShapeError reports whether an error only says that the result is not one
// outline.
func isShapeError(err error) bool {
	shape := (*ShapeError)(nil)
	return errors.As(err, &shape)
}

// FuzzPlusMinus lays a moved copy of an outline, or another one, over it: what
// is added and what is taken away must add up.
func FuzzPlusMinus(f *testing.F) {
	f.Add(int64(1), int64(1), 0.0, 0.0, 0.0)
	f.Add(int64(2), int64(2), 0.0005, 0.0, 0.0)
	f.Add(int64(3), int64(3), 0.0, 0.0, 1e-5)
	f.Add(int64(4), int64(5), 3.0, -2.0, 1.5)
	f.Fuzz(func(t *testing.T, seedA, seedB int64, dx, dy, turn float64) {
		if !(math.Abs(dx) < 1e4 && math.Abs(dy) < 1e4 && math.Abs(turn) < 100) {
			t.Skip("outside what a design holds")
		}
		a := randomOutline(rand.New(rand.NewSource(seedA)), 0, 0)
		b := randomOutline(rand.New(rand.NewSource(seedB)), 0, 0).Transform(geom.Rotation(geom.Radians(turn), geom.Pt(0, 0)).Then(geom.Translation(dx, dy)))
		sum, errSum := Plus(a, b)
		rest, errRest := Minus(a, b)
		for _, err := range [...]error{errSum, errRest} {
			if err != nil && !isShapeError(err) {
				t.Fatal(err)
			}
		}
		if errSum == nil && errRest == nil {
			// A∪B is A∖B and B.
			if d := sum.Area() - rest.Area() - b.Area(); math.Abs(d) > areaSlack(a, b) {
				t.Errorf("|A∪B| − |A∖B| − |B| = %v", d)
			}
		}
	})
}

// FuzzGrow grows outlines outward and inward: the new rim keeps its distance.
func FuzzGrow(f *testing.F) {
	for seed, d := range []float64{0.1, -0.1, 3, -3, 1e-3, 50, -50, 1e-8} {
		f.Add(int64(seed), d)
	}
	f.Fuzz(func(t *testing.T, seed int64, d float64) {
		if !(math.Abs(d) < 1e4) {
			t.Skip("outside what a design holds")
		}
		p := randomOutline(rand.New(rand.NewSource(seed)), 0, 0)
		q, err := Grow(p, d)
		if err != nil {
			if !isShapeError(err) || d >= 0 && len(err.(*ShapeError).Holes) == 0 {
				t.Fatalf("grow %v: %v", d, err)
			}
			return
		}
		for _, e := range q.Edges {
			if away := awayFrom(p, e.At(0.5)); away < math.Abs(d)-4*geom.SnapTolerance-1e-5*math.Abs(d) {
				t.Errorf("grow %v: edge %s comes as near as %v", d, e.Name, away)
			}
		}
		if (q.Area() < p.Area()) != (d < 0) && math.Abs(d) >= geom.SnapTolerance {
			t.Errorf("grow %v: area %v was %v", d, q.Area(), p.Area())
		}
	})
}
