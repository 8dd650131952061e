package blank

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// randomDrawing is n random lines between the points of a small lattice.
func randomDrawing(rng *rand.Rand, n int) region.Arrangement {
	var curves []geom.Curve
	for range n {
		p := geom.Pt(float64(rng.Intn(7)), float64(rng.Intn(7)))
		q := p.Add(geom.Pt(float64(rng.Intn(3)-1), float64(rng.Intn(3)-1)))
		if p != q {
			curves = append(curves, geom.LineFrom(p, q))
		}
	}
	return region.Arrange(curves)
}

// leastTrails counts by Euler's theorem, with no trail drawn: half the odd
// nodes of each connected part, or one for a part that has none.
func leastTrails(arr region.Arrangement) int {
	part := make([]int, len(arr.Nodes))
	for i := range part {
		part[i] = i
	}
	var root func(int) int
	root = func(i int) int {
		if part[i] != i {
			return root(part[i])
		}
		return i
	}
	degree := make([]int, len(arr.Nodes))
	for _, p := range arr.Edges {
		degree[p.From]++
		degree[p.To]++
		part[root(p.From)] = root(p.To)
	}
	odd := map[int]int{}
	for i, d := range degree {
		odd[root(i)] += d % 2
	}
	sum := 0
	for _, n := range odd {
		sum += max(1, n/2)
	}
	return sum
}

// Laws: every piece is in one trail, once; a trail's pieces meet end to end;
// and there are no more trails than Euler's theorem asks for.
func TestTrailsAreFewest(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 400 {
		arr := randomDrawing(rng, 1+rng.Intn(60))
		all := make([]int, len(arr.Edges))
		for i := range all {
			all[i] = i
		}
		seen := map[int]bool{}
		got := eulerTrails(&arr, all)
		for _, c := range got {
			start, at := arr.Ends(c.halves[0])
			for i, h := range c.halves {
				from, to := arr.Ends(h)
				if i > 0 && from != at || seen[h.Edge] {
					t.Fatalf("piece %d does not follow, or comes twice", h.Edge)
				}
				seen[h.Edge], at = true, to
			}
			if c.closed != (at == start) {
				t.Errorf("a trail from node %d to %d is closed: %v", start, at, c.closed)
			}
		}
		if want := leastTrails(arr); len(got) != want || len(seen) != len(all) {
			t.Fatalf("%d trails over %d of %d pieces, want %d", len(got), len(seen), len(all), want)
		}
	}
}

// At a crossing trails go straight on; where three meet, the straightest two.
func TestTrailsRunStraight(t *testing.T) {
	for name, curves := range map[string][]geom.Curve{
		"crossing": {geom.LineFrom(geom.Pt(-1, 0), geom.Pt(1, 0)), geom.LineFrom(geom.Pt(0, -1), geom.Pt(0, 1))},
		"T":        {geom.LineFrom(geom.Pt(0, 0), geom.Pt(0, 1)), geom.LineFrom(geom.Pt(-1, 0), geom.Pt(1, 0))},
	} {
		arr := region.Arrange(curves)
		all := make([]int, len(arr.Edges))
		for i := range all {
			all[i] = i
		}
		for _, c := range eulerTrails(&arr, all) {
			for i := 1; i < len(c.halves); i++ {
				if a, b := arr.Curve(c.halves[i-1]), arr.Curve(c.halves[i]); a.Tangent(1).Dot(b.Tangent(0)) < 0.99 {
					t.Errorf("%s: a trail turns from %v to %v", name, a, b)
				}
			}
		}
	}
}
