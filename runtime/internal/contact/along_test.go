package contact

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
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
