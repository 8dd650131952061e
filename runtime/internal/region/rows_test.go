package region

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Two squares that cross in two places fall into four rows; one on its own is
// one row, and so is a circle of one arc.
func TestRowsByHand(t *testing.T) {
	full := geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	for _, c := range []struct {
		name   string
		curves []geom.Curve
		rows   []int // how many pieces each has
	}{
		{"a square", square(0, 0, 10), []int{4}},
		{"a circle", []geom.Curve{full}, []int{1}},
		{"two squares that cross", append(square(0, 0, 10), square(5, 5, 10)...), []int{4, 2, 2, 4}},
		{"two squares side by side", append(square(0, 0, 10), square(10, 0, 10)...), []int{3, 1, 3}},
	} {
		a := Arrange(c.curves)
		w := a.wind(0, len(c.curves))
		var got []int
		done := make([]bool, len(a.Edges))
		for k := range a.Edges {
			if done[k] {
				continue
			}
			row := w.row(k, a.onward(), nil)
			for i, h := range row {
				done[h.Edge] = true
				if i > 0 {
					_, at := a.Ends(row[i-1])
					if from, _ := a.Ends(h); from != at {
						t.Errorf("%s: a row goes on from another node than it came to", c.name)
					}
				}
			}
			got = append(got, len(row))
		}
		if !slices.Equal(got, c.rows) {
			t.Errorf("%s: rows of %v pieces, want %v", c.name, got, c.rows)
		}
	}
}

// Law: every piece of a row, asked by itself, gives the number that one of them
// gave for all.
func TestRowsShareTheirWinding(t *testing.T) {
	shared := 0
	for seed := range int64(60) {
		rnd := rand.New(rand.NewSource(seed))
		p, q := randomPair(rnd)
		curves := append(p.Curves(), q.Curves()...)
		a := Arrange(curves)
		w := a.wind(0, len(p.Edges))
		for k, piece := range a.Edges {
			if !clear(a, k, piece.At(0.5), 0.01) {
				continue
			}
			shared++
			if got := w.windingAt(&a, k); got != w.left[k] {
				t.Errorf("seed %d: piece %d by itself has %d on its left, its row %d", seed, k, got, w.left[k])
			}
			// Off the chains the number is that of all their edges, also of those that no ray meets.
			if w.net[k] == 0 {
				all := 0
				for i, e := range a.Edges {
					all += w.net[i] * e.Turns(piece.At(0.5))
				}
				if all != w.left[k] {
					t.Errorf("seed %d: all edges together go round piece %d %d times, those found %d times", seed, k, all, w.left[k])
				}
			}
		}
	}
	if shared < 300 {
		t.Errorf("only %d pieces were asked", shared)
	}
}
