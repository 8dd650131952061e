package region

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the short way leaves out nothing but ends that snapping joins.
func TestMeetAgreesWithGeom(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	short := 0
	for range 20000 {
		p := geom.Pt(rnd.Float64()*100, rnd.Float64()*100)
		a := randomEdge(rnd, p, p.Add(geom.Polar(rnd.Float64()*20, geom.Radians(rnd.Float64()*6))))
		turn := float64(rnd.Intn(8)) * math.Pi / 4
		if rnd.Intn(2) == 0 {
			turn = rnd.NormFloat64() * 0.1
		}
		b := a
		if rnd.Intn(2) == 0 {
			b = randomEdge(rnd, a.P, a.Q)
		}
		b = b.Transform(geom.Rotation(geom.Radians(turn), p))
		if rnd.Intn(2) == 0 {
			b = b.Reverse()
		}
		if rnd.Intn(2) == 0 {
			a = a.Reverse()
		}
		got, want := meet(a, b), geom.Intersect(a, b)
		if len(got) == 0 && len(want) == 1 && want[0].IsPoint() && isEnd(want[0].A0) && isEnd(want[0].B0) {
			short++
			continue
		}
		if !slices.Equal(got, want) {
			t.Fatalf("%v and %v: %v, want %v", a, b, got, want)
		}
	}
	if short < 5000 {
		t.Errorf("only %d pairs took the short way", short)
	}
}

// Curves from one end part for sure where they turn away from each other by 5°
// or more, either way, and are no shorter than a tenth of a millimetre.
func TestPart(t *testing.T) {
	line := func(length, degrees float64) geom.Curve {
		return geom.LineFrom(geom.Point{}, geom.Polar(length, geom.Degrees(degrees).Angle()))
	}
	arc := func(degrees, sweep float64) geom.Curve {
		return geom.ArcFrom(geom.Point{}, geom.Polar(10, geom.Degrees(degrees+90).Angle()), geom.Degrees(sweep).Angle())
	}
	for _, test := range []struct {
		name string
		a, b geom.Curve
		want bool
	}{
		{"one turn of 5.1°", line(10, 0), line(10, 5.1), true},
		{"the other way", line(10, 5.1), line(10, 0), true},
		{"4.9°", line(10, 0), line(10, 4.9), false},
		{"a right angle", line(10, 0), line(10, 90), true},
		{"back", line(10, 0), line(10, 180), true},
		{"one short", line(10, 0), line(0.09, 30), false},
		{"the other short", line(0.09, 30), line(10, 0), false},
		{"short, but long enough", line(10, 0), line(0.11, 30), true},
		{"an arc that bends away", line(10, 0), arc(6, 90), true},
		{"an arc that bends over", line(10, 0), arc(-6, 90), false},
		{"an arc that ends ahead", line(10, 30), arc(0, 90), false},
		{"an arc of more than half a turn", line(10, -30), arc(0, 200), false},
		{"opposite arcs of half a turn", arc(0, 180), arc(180, 180), true},
		{"arcs of a quarter turn, back to back", arc(0, 90), arc(180, 90), true},
		{"a cubic that turns back", line(10, -30), geom.CubicFrom(geom.Pt(0, 0), geom.Pt(-1, 1), geom.Pt(5, 1), geom.Pt(9, 3)), false},
		{"a cubic that does not", line(10, -30), geom.CubicFrom(geom.Pt(0, 0), geom.Pt(1, 0), geom.Pt(5, 1), geom.Pt(9, 3)), true},
	} {
		if got := part(test.a, test.b); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func isEnd(t float64) bool { return t == 0 || t == 1 }
