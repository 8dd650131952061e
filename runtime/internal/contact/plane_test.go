package contact

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Law: the stretches of a line in loops are just where its points lie inside.
func TestCutAgreesWithInside(t *testing.T) {
	rng := rand.New(rand.NewSource(52))
	for range 300 {
		loops := randomBoard(rng, 30)
		at, dir := geom.Pt(rng.Float64()*30, rng.Float64()*30), geom.Polar(1, geom.Radians(rng.Float64()*7))
		found := cut(loops, at, dir)
		for range 50 {
			s := (rng.Float64() - 0.5) * 120
			in := slices.ContainsFunc(found, func(v interval) bool { return v.from <= s && s <= v.to })
			if in != polygon.Holds(loops, at.Add(dir.Mul(s))) {
				t.Fatalf("%g along the line: in a stretch %v", s, in)
			}
		}
	}
}

// A line along an edge crosses a loop an even number of times: all of it or
// nothing, with whatever lies on beyond.
func TestCutAlongEdges(t *testing.T) {
	step := [][]geom.Point{{{}, {X: 30}, {X: 30, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: 10}, {Y: 10}}}
	for _, c := range []struct {
		y    float64
		want []interval
	}{{10, []interval{{20, 30}}}, {0, []interval{{0, 30}}}, {20, nil}, {15, []interval{{20, 30}}}} {
		got := cut(step, geom.Pt(0, c.y), geom.Pt(1, 0))
		if !slices.Equal(got, c.want) {
			t.Errorf("at y = %g: %v, want %v", c.y, got, c.want)
		}
	}
}

// Law: common stretches do not depend on the order, and slid apart by what
// slideApart says, and no less, there are none.
func TestCommonAndSlideApart(t *testing.T) {
	rng := rand.New(rand.NewSource(53))
	stretches := func() []interval {
		var out []interval
		for at := rng.Float64(); len(out) < 1+rng.Intn(4); at += 5 * rng.Float64() {
			v := interval{at, at + 0.1 + 5*rng.Float64()}
			out, at = append(out, v), v.to+0.1
		}
		return out
	}
	for range 500 {
		a, b := stretches(), stretches()
		if !slices.Equal(common(a, b), common(b, a)) {
			t.Fatalf("%v and %v share %v one way, %v the other", a, b, common(a, b), common(b, a))
		}
		by := slideApart(a, b)
		if left := common(a, slid(b, by)); len(left) > 0 {
			t.Fatalf("slid by %g they share %v", by, left)
		}
		for range 20 {
			if less := by * (2*rng.Float64() - 1) * (1 - 1e-3); len(common(a, b)) > 0 && math.Abs(less) < math.Abs(by)-2*geom.SnapTolerance &&
				len(common(a, slid(b, less))) == 0 {
				t.Fatalf("slid by %g, less than %g, they share nothing", less, by)
			}
		}
	}
}

// Law: the nearest levels without board in the columns are free a weld beyond,
// and no level between is.
func TestClearings(t *testing.T) {
	rng := rand.New(rand.NewSource(54))
	for range 300 {
		loops := randomBoard(rng, 30)
		at, dir := geom.Pt(rng.Float64()*10, rng.Float64()*10), geom.Polar(1, geom.Radians(rng.Float64()*7))
		columns := []interval{{-8, -3}, {2, 6 + 5*rng.Float64()}}
		up, down := clearings(loops, at, dir, columns)
		board := func(level float64) bool {
			return len(common(cut(loops, at.Add(dir.Left().Mul(level)), dir), columns)) > 0
		}
		if up < 0 || down > 0 || board(up+geom.SnapTolerance/2) && board(up+1e-9) || board(down-geom.SnapTolerance/2) && board(down-1e-9) {
			t.Fatalf("there is board at %g or %g", up, down)
		}
		bare := func(level float64) bool {
			for _, v := range cut(loops, at.Add(dir.Left().Mul(level)), dir) {
				for _, w := range columns {
					if math.Min(v.to, w.to) > math.Max(v.from, w.from) {
						return false
					}
				}
			}
			return true
		}
		for range 40 {
			level := down + (up-down)*rng.Float64()
			// Gaps narrower than a weld count for nothing.
			if level-down > 0.01 && up-level > 0.01 && bare(level) && bare(level+geom.SnapTolerance) && bare(level-geom.SnapTolerance) {
				t.Fatalf("level %g between %g and %g is free", level, down, up)
			}
		}
	}
}

// A spot in a region lies well inside it: a ring with a thin and a thick side
// gives the thick one's middle.
func TestSpotIn(t *testing.T) {
	ring := append(rect(0, 0, 40, 20), []geom.Point{{X: 2, Y: 2}, {X: 2, Y: 18}, {X: 24, Y: 18}, {X: 24, Y: 2}})
	if got := spotIn(ring); got.Dist(geom.Pt(32, 10)) > 1e-9 {
		t.Errorf("spot %v", got)
	}
	rng := rand.New(rand.NewSource(56))
	for range 200 {
		if loops := randomBoard(rng, 30); !polygon.Holds(loops, spotIn(loops)) {
			t.Fatalf("the spot %v lies outside %v", spotIn(loops), loops)
		}
	}
}
