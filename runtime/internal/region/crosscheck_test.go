package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/geom/geomtest"
)

// flat is an outline as a polygon with vertices on a grid of 1e-6 mm.
func flat(p geom.Path, tol float64) []geom.Point {
	pts := p.Flatten(tol)
	for i, q := range pts {
		pts[i] = geom.Pt(math.Round(q.X*1e6)/1e6, math.Round(q.Y*1e6)/1e6)
	}
	return pts
}

// operations are the areas of |A∪B|, |A∩B| and |A∖B|.
func operations(t *testing.T, a, b [][]geom.Curve) [3]float64 {
	t.Helper()
	var areas [3]float64
	for i, in := range [...]rule{either, both, first} {
		rings, err := combine(a, b, in)
		if err != nil {
			t.Fatal(err)
		}
		areas[i] = ringsArea(rings)
	}
	return areas
}

// Cross-check with GEOS through Shapely on flattened outlines: areas to 1e-6
// of the outlines' own, and whether they overlap.
func TestAreasAgreeWithShapely(t *testing.T) {
	type question struct {
		A [][2]float64 `json:"a"`
		B [][2]float64 `json:"b"`
	}
	var questions []question
	var pairs [][2]geom.Path
	for seed := range int64(150) {
		a, b := randomPair(rand.New(rand.NewSource(seed + 1000)))
		fa, fb := polygon(flat(a, 0.01)...), polygon(flat(b, 0.01)...)
		pairs = append(pairs, [2]geom.Path{fa, fb})
		questions = append(questions, question{coordinates(fa), coordinates(fb)})
	}
	var answers [][6]any
	geomtest.Shapely(t, "testdata/overlay.py", questions, &answers)
	for i, pair := range pairs {
		a, b := pair[0], pair[1]
		union := operations(t, ringsOf(a), ringsOf(b))
		got := [5]float64{a.Area(), b.Area(), union[0], union[1], union[2]}
		whole := a.Area() + b.Area()
		for k, v := range got {
			if want := answers[i][k].(float64); math.Abs(v-want) > 1e-6*whole {
				t.Errorf("pair %d: number %d is %v, Shapely says %v", i, k, v, want)
			}
		}
		// Between a tenth of the snap tolerance and all of it the two rightly differ.
		overlaps, want := Overlaps(ringsOf(a), ringsOf(b)), answers[i][5].(bool)
		if overlaps && !want || want && !overlaps && union[1] > areaSlack(a, b) {
			t.Errorf("pair %d: overlaps %v, Shapely says %v; in common %v", i, overlaps, want, union[1])
		}
	}
}

func coordinates(p geom.Path) [][2]float64 {
	var out [][2]float64
	for _, e := range p.Edges {
		out = append(out, [2]float64{e.P.X, e.P.Y})
	}
	return out
}
