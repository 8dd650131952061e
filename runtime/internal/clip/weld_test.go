package clip

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A vertex of one polygon on an edge of the other ends up in that edge.
func TestWeld(t *testing.T) {
	a, b := [][]geom.Point{rect(0, 0, 20, 20)}, [][]geom.Point{rect(20, 5, 10, 10)}
	weld(a, b)
	if len(a[0]) != 6 || a[0][2] != geom.Pt(20, 5) || a[0][3] != geom.Pt(20, 15) || len(b[0]) != 4 {
		t.Errorf("%v and %v", a, b)
	}
}

// Law: welding keeps the vertices and their order, moves the area by next to
// nothing, and adds every vertex that lies on an edge, in order along it.
func TestWeldLaws(t *testing.T) {
	for seed := range int64(50) {
		rnd := rand.New(rand.NewSource(seed))
		ring := star(rnd)[0]
		var on []geom.Point
		k := rnd.Intn(len(ring))
		p, q := ring[k], ring[(k+1)%len(ring)]
		for range 5 {
			on = append(on, p.Lerp(q, 0.05+0.9*rnd.Float64()))
		}
		sorted := slices.Clone(on)
		slices.SortFunc(sorted, func(x, y geom.Point) int {
			if x.X != y.X && x.X < y.X {
				return -1
			}
			return 1
		})
		got := insert(ring, sorted)
		slices.SortFunc(on, func(x, y geom.Point) int {
			if x.Dist(p) < y.Dist(p) {
				return -1
			}
			return 1
		})
		if want := slices.Insert(slices.Clone(ring), k+1, on...); !slices.Equal(got, want) {
			t.Fatalf("seed %d: %v, want %v", seed, got, want)
		}
		if d := ringArea(got) - ringArea(ring); d > 1e-9 || d < -1e-9 {
			t.Errorf("seed %d: area moved by %v", seed, d)
		}
	}
}
