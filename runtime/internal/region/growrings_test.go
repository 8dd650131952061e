package region

import (
	"math"
	"math/rand"
	"slices"
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

// Steiner's formula for a convex region and a disc: P' = P + 2πr and A' = A + P·r + πr²; a square of 100
// and 0.1 give 400.6283 and 10040.0314.
func TestRoundRingsSteiner(t *testing.T) {
	out, _, err := RoundRings([][]geom.Curve{squareRing(0, 0, 100, 100, false)}, 0.1)
	if err != nil || len(out) != 1 {
		t.Fatal(len(out), err)
	}
	length := 0.0
	for _, c := range out[0] {
		length += c.Length()
		if c.Kind == geom.Arc && !near9(c.R, 0.1) {
			t.Errorf("a corner has radius %v", c.R)
		}
	}
	if area := areaOf(out); math.Abs(length-400.6283) > 5e-5 || math.Abs(area-10040.0314) > 5e-5 {
		t.Errorf("perimeter %.4f, area %.4f", length, area)
	}
}

// Law: a region with a hole, grown by a disc, is all that lies within the disc's radius of it; a curve
// is gone if no point of the new rim is its offset.
func TestRoundRingsByDistance(t *testing.T) {
	const slack = 2 * geom.SnapTolerance // rims that nearly coincide merge, cubics are fitted
	lost := 0
	for seed := range int64(200) {
		rnd := rand.New(rand.NewSource(seed))
		outer := randomOutline(rnd, 0, 0).Curves()
		rings := [][]geom.Curve{outer}
		if hole := randomOutline(rnd, 0, 0); rnd.Intn(2) == 0 {
			small := scale(hole, 0.25)
			if small.Distance(geom.Path{Edges: edgesOf(outer), Closed: true}) > 0 && (geom.Path{Edges: edgesOf(outer), Closed: true}).Contains(small.Start()) {
				rings = append(rings, small.Reverse().Curves())
			}
		}
		d := []float64{0.05, 0.2, 1, 3}[rnd.Intn(4)]
		out, gone, err := RoundRings(rings, d)
		if err != nil {
			t.Fatalf("seed %d by %v: %v", seed, d, err)
		}
		all, rim := slices.Concat(rings...), slices.Concat(out...)
		for range 200 {
			at := geom.Pt(rnd.Float64()*40-20, rnd.Float64()*40-20)
			away := nearestOf(all, at)
			if geom.Winding(all, at) != 0 {
				away = 0
			}
			if math.Abs(away-d) > slack && (geom.Winding(rim, at) != 0) != (away < d) {
				t.Errorf("seed %d by %v: %v, %v from the region, covered %v", seed, d, at, away, away >= d)
			}
		}
		for i, r := range rings {
			for j, c := range r {
				left := false
				for k := range 99 {
					at := c.At((float64(k) + 0.5) / 99)
					at = at.Add(rightOf(c, (float64(k)+0.5)/99).Mul(d))
					left = left || nearestOf(all, at) > d-slack/8 && (geom.Winding(all, at) == 0)
				}
				if gone[i][j] {
					lost++
				}
				if gone[i][j] && left {
					t.Errorf("seed %d by %v: curve %d of ring %d is not gone", seed, d, j, i)
				}
			}
		}
	}
	if lost < 20 {
		t.Errorf("only %d curves were lost", lost)
	}
}

func nearestOf(curves []geom.Curve, p geom.Point) float64 {
	least := math.Inf(1)
	for _, c := range curves {
		_, d := c.Nearest(p)
		least = min(least, d)
	}
	return least
}

func edgesOf(curves []geom.Curve) []geom.Edge {
	out := make([]geom.Edge, len(curves))
	for i, c := range curves {
		out[i].Curve = c
	}
	return out
}
