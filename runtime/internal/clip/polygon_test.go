package clip

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func TestFlatten(t *testing.T) {
	c := geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	rings := Flatten([][]geom.Curve{{c}}, 1e-4)
	if got, want := Area(rings), 100*math.Pi; got > want || got < want-1e-4*2*math.Pi*10 {
		t.Errorf("area %v, want just under %v", got, want)
	}
}

// Areas are read even-odd, whichever way the rings run.
func TestAreaIsEvenOdd(t *testing.T) {
	plate, hole, island := rect(0, 0, 20, 20), rect(5, 5, 10, 10), rect(8, 8, 2, 2)
	tests := []struct {
		name  string
		rings [][]geom.Point
		want  float64
	}{
		{"nothing", nil, 0},
		{"plate", [][]geom.Point{plate}, 400},
		{"plate the other way", [][]geom.Point{reversed(plate)}, 400},
		{"hole", [][]geom.Point{plate, hole}, 300},
		{"hole the other way", [][]geom.Point{plate, reversed(hole)}, 300},
		{"island first", [][]geom.Point{island, plate, hole}, 304},
		{"hole at the rim", [][]geom.Point{plate, rect(0, 5, 10, 10)}, 300},
		{"side by side", [][]geom.Point{plate, rect(20, 0, 5, 20)}, 500},
	}
	for _, test := range tests {
		if got := Area(test.rings); got != test.want {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

// Law: what a ray counts is what the winding number says.
func TestHoldsAgainstWinding(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 200 {
		ring := star(rnd)[0]
		var curves []geom.Curve
		for i, p := range ring {
			curves = append(curves, geom.LineFrom(p, ring[(i+1)%len(ring)]))
		}
		for range 50 {
			q := geom.Pt(rnd.Float64()*26-13, rnd.Float64()*26-13)
			if holds(ring, q) != (geom.Winding(curves, q) != 0) {
				t.Fatalf("%v in %v: %v", q, ring, holds(ring, q))
			}
		}
	}
}

// Points go to the grid; what repeats or has no area goes away.
func TestPrepare(t *testing.T) {
	rings := prepare([][]geom.Point{
		{geom.Pt(0, 0), geom.Pt(1e-8, 0), geom.Pt(1.0000001, 0), geom.Pt(1, 1), geom.Pt(-1e-8, 1e-8)},
		{geom.Pt(0, 0), geom.Pt(5, 0), geom.Pt(5, 1e-8)},
		{geom.Pt(0, 0), geom.Pt(5, 0)},
	})
	if len(rings) != 1 || len(rings[0]) != 3 || rings[0][0] != geom.Pt(1, 0) {
		t.Errorf("%v", rings)
	}
}

// Law: a path through the library's format and back is the same ring.
func TestCanvasRoundTrip(t *testing.T) {
	// The middle of the bottom edge is a vertex that the library would drop.
	ring := []geom.Point{geom.Pt(0, 0), geom.Pt(5, 0), geom.Pt(10, 0), geom.Pt(10, 10)}
	back := fromCanvas(toCanvas([][]geom.Point{ring, rect(20, 20, 1, 1)}))
	if len(back) != 2 || len(back[0]) != 4 || len(back[1]) != 4 {
		t.Fatalf("%v", back)
	}
	for i, p := range back[0] {
		if p != ring[(i+1)%4] && p != ring[i] {
			t.Errorf("%v became %v", ring, back[0])
		}
	}
}
