package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// areaOf is the area of a region, mm².
func areaOf(rings [][]geom.Curve) float64 {
	sum := 0.0
	for _, r := range rings {
		for _, c := range r {
			sum += c.Area()
		}
	}
	return sum
}

// squareRing is a rectangular ring, run the other way round for a hole.
func squareRing(x, y, w, h float64, hole bool) []geom.Curve {
	at := func(a, b float64) geom.Point { return geom.Pt(x+a*w, y+b*h) }
	pts := []geom.Point{at(0, 0), at(1, 0), at(1, 1), at(0, 1)}
	if hole {
		pts[1], pts[3] = pts[3], pts[1]
	}
	return chain(pts...)
}

// Regions whose offsets have areas in closed form: holes shrink and close, parts join, a
// slot closes at its mouth, walls vanish.
func TestGrowRings(t *testing.T) {
	frame := [][]geom.Curve{squareRing(0, 0, 20, 20, false), squareRing(8, 8, 4, 4, true)}
	two := [][]geom.Curve{squareRing(0, 0, 10, 10, false), squareRing(14, 0, 10, 10, false)}
	// A square of 30 with a slot of 4 from the top that widens to 10 by 10.
	slot := [][]geom.Curve{chain(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, 30), geom.Pt(17, 30), geom.Pt(17, 20), geom.Pt(20, 20),
		geom.Pt(20, 10), geom.Pt(10, 10), geom.Pt(10, 20), geom.Pt(13, 20), geom.Pt(13, 30), geom.Pt(0, 30))}
	for _, c := range []struct {
		name     string
		rings    [][]geom.Curve
		d, area  float64
		quantity int
	}{
		{"hole shrinks", frame, 1, 22*22 - 2*2, 2},
		{"hole closes", frame, 2.5, 25 * 25, 1},
		{"hole grows", frame, -1, 18*18 - 6*6, 2},
		{"walls vanish", frame, -4.5, 0, 0},
		{"nearly no offset", frame, 0.002, 20.004*20.004 - 3.996*3.996, 2},
		{"apart", two, 1, 2 * 12 * 12, 2},
		{"joined", two, 2.5, 29 * 15, 1},
		{"mouth closes", slot, 2.25, 34.5*34.5 - 5.5*5.5, 2},
		{"nothing", frame, 0, 20*20 - 4*4, 2},
	} {
		got, err := GrowRings(c.rings, c.d)
		if err != nil || len(got) != c.quantity || math.Abs(areaOf(got)-c.area) > 1e-6 {
			t.Errorf("%s: %d rings of %g mm², want %d of %g; %v", c.name, len(got), areaOf(got), c.quantity, c.area, err)
		}
	}
	if _, err := GrowRings(frame, math.NaN()); err == nil {
		t.Error("an offset that is no number")
	}
}

// Law: a point of the plane is covered as its distance from the old boundary says, but
// for the tips of sharp corners; no point of the new boundary is nearer than the offset.
// The regions are what one random outline leaves of another, with the holes it makes.
func TestGrowRingsByDistance(t *testing.T) {
	const slack = 2 * geom.SnapTolerance
	holes := 0
	for seed := range int64(200) {
		rnd := rand.New(rand.NewSource(seed))
		outer, inner := randomOutline(rnd, 0, 0), scale(randomOutline(rnd, 0, 0), 0.25)
		rings, err := Difference([][]geom.Curve{outer.Curves()}, [][]geom.Curve{inner.Curves()})
		if err != nil {
			t.Fatal(err)
		}
		holes += max(0, len(rings)-1)
		d := []float64{0.2, 1, 4, -0.2, -1}[rnd.Intn(5)]
		grown, err := GrowRings(rings, d)
		if err != nil {
			t.Fatalf("seed %d by %v: %v", seed, d, err)
		}
		paths := make([]geom.Path, len(rings))
		for i, r := range rings {
			for _, c := range r {
				paths[i].Edges = append(paths[i].Edges, geom.Edge{Curve: c})
			}
		}
		nearest := func(at geom.Point) float64 {
			away := math.Inf(1)
			for _, p := range paths {
				away = min(away, awayFrom(p, at))
			}
			return away
		}
		winding := func(rings [][]geom.Curve, at geom.Point) (n int) {
			for _, r := range rings {
				n += geom.Winding(r, at)
			}
			return n
		}
		for _, r := range grown {
			for _, c := range r {
				if away := nearest(c.At(0.5)); away < math.Abs(d)-slack {
					t.Errorf("seed %d by %v: comes as near as %v", seed, d, away)
				}
			}
		}
		for range 100 {
			at := geom.Pt(rnd.Float64()*40-20, rnd.Float64()*40-20)
			away, covered, tip := nearest(at), winding(rings, at) == 1, false
			for _, p := range paths {
				tip = tip || nearCorner(p, at, d)
			}
			if away < math.Abs(d)-slack {
				covered = d > 0
			} else if away < math.Abs(d)+slack || tip {
				continue
			}
			if got := winding(grown, at); got != 0 && got != 1 || (got == 1) != covered {
				t.Errorf("seed %d by %v: %v, %v from the boundary, covered %d times", seed, d, at, away, got)
			}
		}
		if t.Failed() {
			return
		}
	}
	if holes < 50 {
		t.Errorf("only %d holes", holes)
	}
}
