package scene

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// Law: a cover leaves the same of straight-sided rings whichever way it
// is reckoned, and with the same rings in the same order from the same corner
// but where sides run apart by about the snap tolerance. On a grid of half
// millimetres corners and sides coincide often; off it they do not.
func TestSubtractAgreesWithRegion(t *testing.T) {
	rng := rand.New(rand.NewSource(21))
	done, refused, odd := 0, 0, 0
	for i := range 4000 {
		at := func(size float64) geom.Point {
			p := geom.Pt(rng.Float64(), rng.Float64()).Mul(size)
			if i%2 == 0 {
				p = geom.Pt(float64(int(2*p.X))/2, float64(int(2*p.Y))/2)
			}
			return p
		}
		left := [][]geom.Point{someConvex(rng, at, 10)}
		for range rng.Intn(3) {
			if hole := someConvex(rng, at, 10); rng.Intn(2) == 0 {
				left = difference(left, [][]geom.Point{hole})
			}
		}
		cover := [][]geom.Point{someConvex(rng, at, 10)}
		switch rng.Intn(3) {
		case 0:
			cover = difference(cover, [][]geom.Point{someConvex(rng, at, 10)})
		case 1:
			cover = combCutOff(at(3), at(9))
		}
		if len(left) == 0 || len(cover) == 0 {
			continue
		}
		got, ok := subtract(left, cover)
		if !ok {
			refused++
			continue
		}
		done++
		got = slices.DeleteFunc(got, negligible)
		want := difference(left, cover)
		if a, b := ringArea(got), ringArea(want); !near(a, b, geom.SnapTolerance*40) {
			t.Fatalf("%v less %v:\n%v of %g mm²\nwant\n%v of %g mm²", left, cover, got, a, want, b)
		}
		same := func(p, q geom.Point) bool { return p.Dist(q) < geom.SnapTolerance }
		if !slices.EqualFunc(got, want, func(a, b []geom.Point) bool { return slices.EqualFunc(a, b, same) }) {
			odd++
		}
	}
	if refused > 10 || odd > 10 {
		t.Errorf("of %d, %d are refused and %d differ in their rings", done, refused, odd)
	}
}

func ringArea(rings [][]geom.Point) float64 { return faceArea(Face{Rings: rings}) }

// combCutOff is a comb of three teeth that a line has cut through, so that its
// ring runs along the line there and back.
func combCutOff(at, size geom.Point) [][]geom.Point {
	comb := []geom.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 4}, {X: 4, Y: 4}, {X: 4, Y: 1}, {X: 3, Y: 1},
		{X: 3, Y: 4}, {X: 2, Y: 4}, {X: 2, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 4}, {X: 0, Y: 4}}
	for i, p := range comb {
		comb[i] = at.Add(geom.Pt(p.X*(1+size.X)/5, p.Y*(1+size.Y)/4))
	}
	return [][]geom.Point{clipPositive(comb, affine{0, 1, -at.Y - (1+size.Y)/2})}
}

// someConvex is the hull of a few points of a square.
func someConvex(rng *rand.Rand, at func(size float64) geom.Point, size float64) []geom.Point {
	for {
		pts := make([]geom.Point, 3+rng.Intn(5))
		for i := range pts {
			pts[i] = at(size)
		}
		if h := polygon.Hull([][]geom.Point{pts}); len(h) > 2 && polygon.Solid(h) {
			return h
		}
	}
}

func BenchmarkSubtract(b *testing.B) {
	left, cover := [][]geom.Point{square(0, 0, 10)}, [][]geom.Point{square(5, 4, 10)}
	b.Run("straight", func(b *testing.B) {
		for b.Loop() {
			subtract(left, cover)
		}
	})
	b.Run("general", func(b *testing.B) {
		for b.Loop() {
			_, _ = region.Difference(chains(left), chains(cover))
		}
	})
}
