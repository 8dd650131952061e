package region

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the short way leaves out nothing but ends that welding joins.
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

func isEnd(t float64) bool { return t == 0 || t == 1 }
