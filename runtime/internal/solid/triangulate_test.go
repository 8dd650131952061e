package solid

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// checkFacets holds a triangulation to what facets promises: every triangle turns left, no side is
// passed twice in one direction and each is passed back by another triangle or is one of a
// loop, and the triangles' area is the loops' and, but for what chords cut off, the rings'.
func checkFacets(f *facets, rings []blank.Ring) error {
	passed := map[side]int{}
	sum := 0.0
	for _, t := range f.triangles {
		a, b, c := f.points[t[0]], f.points[t[1]], f.points[t[2]]
		if geom.Orient(a, b, c) <= 0 {
			return fmt.Errorf("the triangle %v, %v, %v does not turn left", a, b, c)
		}
		sum += b.Sub(a).Cross(c.Sub(a)) / 2
		for k := range t {
			passed[side{t[k], t[(k+1)%3]}]++
		}
	}
	loops, length := 0.0, 0.0
	for _, loop := range f.loops {
		loops += polygon.Area(f.places(loop))
		for k, i := range loop {
			passed[side{loop[(k+1)%len(loop)], i}]++
		}
	}
	for s, n := range passed {
		if n != 1 || passed[side{s.to, s.from}] != 1 {
			return fmt.Errorf("the side from %v to %v is passed %d times and %d back", f.points[s.from], f.points[s.to], n, passed[side{s.to, s.from}])
		}
	}
	area := 0.0
	for _, r := range rings {
		for _, c := range r {
			area += c.Area()
			length += c.Length()
		}
	}
	if math.Abs(sum-loops) > 1e-9*(loops+1) {
		return fmt.Errorf("triangles of %v mm² in loops of %v mm²", sum, loops)
	}
	// A chord and its curve enclose less than flatness times the curve's length.
	if math.Abs(sum-area) > flatness*length {
		return fmt.Errorf("triangles of %v mm² in rings of %v mm²", sum, area)
	}
	return nil
}

// polyline is a ring of straight sides, turned to run clockwise for a hole.
func polyline(hole bool, pts ...geom.Point) blank.Ring {
	var out blank.Ring
	for i, p := range pts {
		out = append(out, geom.LineFrom(p, pts[(i+1)%len(pts)]))
	}
	if hole {
		for i, j := 0, len(out)-1; i <= j; i, j = i+1, j-1 {
			out[i], out[j] = out[j].Reverse(), out[i].Reverse()
		}
	}
	return out
}

// disc is a ring of arcs, clockwise.
func disc(at geom.Point, r float64) blank.Ring {
	return blank.Ring{geom.ArcFrom(at.Add(geom.Pt(r, 0)), at, geom.Degrees(-180).Angle()), geom.ArcFrom(at.Sub(geom.Pt(r, 0)), at, geom.Degrees(-180).Angle())}
}

// randomRings are an outline of a grid of n × n cells, some of it in chords in line or in arcs, with a hole in
// some cells: a disc, a star, or a square that fills its cell, so that it may touch others and the
// outline in corners.
func randomRings(rng *rand.Rand, n int) []blank.Ring {
	const cell = 10.0
	size := cell * float64(n)
	turn := geom.Identity()
	if rng.Intn(2) == 0 {
		turn = geom.Rotation(geom.Radians(rng.Float64()), geom.Pt(3, 1)).Then(geom.Translation(rng.Float64()*500, -rng.Float64()*500))
	}
	var out []blank.Ring
	// The outline: corners in the corners of cells and half-way, with lines or arcs between them that
	// bulge outward.
	var pts []geom.Point
	for side := range 4 {
		for k := range 2 * n {
			d := float64(k) * cell / 2
			pts = append(pts, [...]geom.Point{{X: d}, {X: size, Y: d}, {X: size - d, Y: size}, {Y: size - d}}[side])
		}
	}
	outline := polyline(false, pts...)
	for i, c := range outline {
		if rng.Intn(3) == 0 {
			if arc, err := geom.ArcSweep(c.P, c.Q, geom.Degrees(20+100*rng.Float64()).Angle()); err == nil {
				outline[i] = arc
			}
		}
	}
	out = append(out, outline)
	for x := range n {
		for y := range n {
			at := geom.Pt((float64(x)+0.5)*cell, (float64(y)+0.5)*cell)
			switch rng.Intn(6) {
			case 0:
				out = append(out, disc(at, cell*(0.1+0.35*rng.Float64())))
			case 1:
				var star []geom.Point
				spikes := 3 + rng.Intn(9)
				for k := range spikes {
					star = append(star, at.Add(geom.Polar(cell*(0.05+0.44*rng.Float64()), geom.Radians(2*math.Pi*float64(k)/float64(spikes)))))
				}
				out = append(out, polyline(true, star...))
			case 2:
				// The middles of the sides, so that neighbours touch in points.
				out = append(out, polyline(true, at.Add(geom.Pt(cell/2, 0)), at.Add(geom.Pt(0, cell/2)), at.Add(geom.Pt(-cell/2, 0)), at.Add(geom.Pt(0, -cell/2))))
			}
		}
	}
	for _, r := range out {
		for i, c := range r {
			r[i] = c.Transform(turn)
		}
	}
	return out
}

// Law: see checkFacets, on random outlines with holes that stand apart or touch one another in points.
func TestTriangulate(t *testing.T) {
	touching := 0
	for seed := range int64(outsidetest.Times(t, 400, 4000)) {
		rng := rand.New(rand.NewSource(seed))
		rings := randomRings(rng, 1+rng.Intn(7))
		f, err := triangulate(context.Background(), rings)
		if err != nil {
			t.Fatal(err)
		}
		if len(f.loops) < len(rings) {
			touching++
		}
		if err := checkFacets(f, rings); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
	if touching < 20 {
		t.Errorf("holes touch in %d cases only", touching)
	}
}

// Shapes of known triangulations: an outline with corners in line gives no triangle without area,
// two squares that hang together in a corner are two parts, and chords that cross leave the
// surface closed and its area signed.
func TestTriangulateEdgeCases(t *testing.T) {
	at := func(v ...float64) (out []geom.Point) {
		for i := 0; i < len(v); i += 2 {
			out = append(out, geom.Pt(v[i], v[i+1]))
		}
		return out
	}
	for name, c := range map[string]struct {
		rings            []blank.Ring
		triangles, loops int
		area             float64
	}{
		"corners in line": {[]blank.Ring{polyline(false, at(0, 0, 1, 0, 2, 0, 2, 2, 0, 2, 0, 1)...)}, 4, 1, 4},
		"one pinched":     {[]blank.Ring{polyline(false, at(0, 0, 2, 0, 2, 2, 4, 2, 4, 4, 2, 4, 2, 2, 0, 2)...)}, 4, 2, 8},
		"hole in a corner": {[]blank.Ring{
			polyline(false, at(0, 0, 9, 0, 9, 9, 0, 9)...), polyline(true, at(0, 0, 5, 2, 5, 5, 2, 5)...),
		}, 6, 1, 81 - 15.0 - 2.5 + 2.5},
		"island": {[]blank.Ring{
			polyline(false, at(0, 0, 9, 0, 9, 9, 0, 9)...), polyline(true, at(2, 2, 7, 2, 7, 7, 2, 7)...), polyline(false, at(3, 3, 6, 3, 6, 6, 3, 6)...),
		}, 10, 3, 81 - 25 + 9},
		"nothing": {nil, 0, 0, 0},
		"a line":  {[]blank.Ring{polyline(false, at(0, 0, 5, 0)...)}, 0, 0, 0},
	} {
		f, err := triangulate(context.Background(), c.rings)
		if err != nil {
			t.Fatal(err)
		}
		if err := checkFacets(f, c.rings); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		sum := 0.0
		for _, tr := range f.triangles {
			sum += polygon.Area(f.places(tr[:]))
		}
		if len(f.triangles) != c.triangles || len(f.loops) != c.loops || math.Abs(sum-c.area) > 1e-9 {
			t.Errorf("%s: %d triangles in %d loops of %v mm², want %d, %d, %v", name, len(f.triangles), len(f.loops), sum, c.triangles, c.loops, c.area)
		}
	}
}

// Law: a plate of chords that cross is closed all the same.
func TestCrossingChordsStayClosed(t *testing.T) {
	for seed := range int64(200) {
		rng := rand.New(rand.NewSource(seed))
		var pts []geom.Point
		for range 4 + rng.Intn(12) {
			pts = append(pts, onGrid(geom.Pt(rng.Float64(), rng.Float64())))
		}
		f, err := triangulate(context.Background(), []blank.Ring{polyline(polygon.Area(pts) < 0, pts...)})
		if err != nil {
			t.Fatal(err)
		}
		passed, sum := map[side]int{}, 0.0
		for _, tr := range f.triangles {
			sum += polygon.Area(f.places(tr[:]))
			for k := range tr {
				passed[side{tr[k], tr[(k+1)%3]}]++
			}
		}
		for _, loop := range f.loops {
			for k, i := range loop {
				passed[side{loop[(k+1)%len(loop)], i}]++
			}
		}
		for s, n := range passed {
			if passed[side{s.to, s.from}] != n {
				t.Errorf("seed %d: a side is passed %d times and %d back", seed, n, passed[side{s.to, s.from}])
			}
		}
		if math.Abs(sum-math.Abs(polygon.Area(pts))) > 1e-12 {
			t.Errorf("seed %d: triangles of %v, a loop of %v", seed, sum, polygon.Area(pts))
		}
	}
}

// Cutting into triangles stops wherever its context ends.
func TestTriangulateStops(t *testing.T) {
	rings := randomRings(rand.New(rand.NewSource(5)), 16)
	canceltest.Stops(t, func(ctx context.Context) error {
		_, err := plate(ctx, blank.Region{Panel: &model.Panel{Flat: geom.Identity()}, Rings: rings}, 0.4, 0)
		return err
	})
}

// A panel with 400 windows of all sorts, some ten thousand points.
func BenchmarkTriangulate(b *testing.B) {
	rings := randomRings(rand.New(rand.NewSource(1)), 28)
	for b.Loop() {
		if _, err := triangulate(context.Background(), rings); err != nil {
			b.Fatal(err)
		}
	}
}

// A sieve of 70 by 70 round holes, two hundred thousand points.
func BenchmarkTriangulateSieve(b *testing.B) {
	corners := []geom.Point{geom.Pt(0, 0), geom.Pt(700, 0), geom.Pt(700, 700), geom.Pt(0, 700)}
	var outline blank.Ring
	for k, p := range corners {
		outline = append(outline, geom.LineFrom(p, corners[(k+1)%4]))
	}
	rings := []blank.Ring{outline}
	for k := range 70 * 70 {
		c := geom.Pt(float64(k%70)*10+5, float64(k/70)*10+5)
		rings = append(rings, blank.Ring{geom.ArcFrom(c.Add(geom.Pt(3, 0)), c, geom.Degrees(-180).Angle()), geom.ArcFrom(c.Sub(geom.Pt(3, 0)), c, geom.Degrees(-180).Angle())})
	}
	for b.Loop() {
		if _, err := triangulate(context.Background(), rings); err != nil {
			b.Fatal(err)
		}
	}
}
