package contact

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Closed form: lines through a square frame, 10 mm wide with a hole of 4 mm.
func TestAlong(t *testing.T) {
	square := func(half float64) []geom.Point {
		return []geom.Point{geom.Pt(-half, -half), geom.Pt(half, -half), geom.Pt(half, half), geom.Pt(-half, half)}
	}
	frame := [][]geom.Point{square(5), square(2)}
	slant := geom.Pt(1, 1).Unit()
	for _, c := range []struct {
		at, dir geom.Point
		want    []Stretch
	}{
		{geom.Pt(0, 3), geom.Pt(1, 0), []Stretch{{-5, 5}}},
		{geom.Pt(0, 1), geom.Pt(1, 0), []Stretch{{-5, -2}, {2, 5}}},
		{geom.Pt(1, 0), geom.Pt(0, -1), []Stretch{{-5, -2}, {2, 5}}},
		{geom.Pt(0, 0), slant, []Stretch{{-5 * math.Sqrt2, -2 * math.Sqrt2}, {2 * math.Sqrt2, 5 * math.Sqrt2}}},
		{geom.Pt(0, 6), geom.Pt(1, 0), nil},
	} {
		got := Along(frame, c.at, c.dir)
		if len(got) != len(c.want) {
			t.Errorf("through %v along %v: %v, want %v", c.at, c.dir, got, c.want)
			continue
		}
		for i, s := range got {
			if math.Abs(s.From-c.want[i].From) > 1e-12 || math.Abs(s.To-c.want[i].To) > 1e-12 {
				t.Errorf("through %v along %v: %v, want %v", c.at, c.dir, got, c.want)
			}
			if s.Length() != s.To-s.From || s.Mid() != (s.From+s.To)/2 {
				t.Errorf("%v is %v long about %v", s, s.Length(), s.Mid())
			}
		}
	}
}

// Law: the stretches of a line in loops are just where its points lie inside.
func TestCutAgreesWithInside(t *testing.T) {
	rng := rand.New(rand.NewSource(52))
	for range 300 {
		loops := randomBoard(rng, 30)
		at, dir := geom.Pt(rng.Float64()*30, rng.Float64()*30), geom.Polar(1, geom.Radians(rng.Float64()*7))
		found := Along(loops, at, dir)
		for range 50 {
			s := (rng.Float64() - 0.5) * 120
			in := slices.ContainsFunc(found, func(v Stretch) bool { return v.From <= s && s <= v.To })
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
		want []Stretch
	}{{10, []Stretch{{20, 30}}}, {0, []Stretch{{0, 30}}}, {20, nil}, {15, []Stretch{{20, 30}}}} {
		got := Along(step, geom.Pt(0, c.y), geom.Pt(1, 0))
		if !slices.Equal(got, c.want) {
			t.Errorf("at y = %g: %v, want %v", c.y, got, c.want)
		}
	}
}

// Law: common stretches do not depend on the order, and slid apart by what
// slideApart says, and no less, there are none.
func TestCommonAndSlideApart(t *testing.T) {
	rng := rand.New(rand.NewSource(53))
	stretches := func() []Stretch {
		var out []Stretch
		for at := rng.Float64(); len(out) < 1+rng.Intn(4); at += 5 * rng.Float64() {
			v := Stretch{at, at + 0.1 + 5*rng.Float64()}
			out, at = append(out, v), v.To+0.1
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

// Law: the nearest levels without board in the columns are free the snap tolerance beyond,
// and no level between is.
func TestClearings(t *testing.T) {
	rng := rand.New(rand.NewSource(54))
	for range 300 {
		loops := randomBoard(rng, 30)
		at, dir := geom.Pt(rng.Float64()*10, rng.Float64()*10), geom.Polar(1, geom.Radians(rng.Float64()*7))
		columns := []Stretch{{-8, -3}, {2, 6 + 5*rng.Float64()}}
		up, down := clearings(loops, at, dir, columns)
		board := func(level float64) bool {
			return len(common(Along(loops, at.Add(dir.Left().Mul(level)), dir), columns)) > 0
		}
		if up < 0 || down > 0 || board(up+geom.SnapTolerance/2) && board(up+1e-9) || board(down-geom.SnapTolerance/2) && board(down-1e-9) {
			t.Fatalf("there is board at %g or %g", up, down)
		}
		bare := func(level float64) bool {
			for _, v := range Along(loops, at.Add(dir.Left().Mul(level)), dir) {
				for _, w := range columns {
					if math.Min(v.To, w.To) > math.Max(v.From, w.From) {
						return false
					}
				}
			}
			return true
		}
		for range 40 {
			level := down + (up-down)*rng.Float64()
			// Gaps narrower than the snap tolerance count for nothing.
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
