package polygon

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// star is a polygon of n corners round the origin, between the two radii.
func star(rng *rand.Rand, n int, least, most float64) []geom.Point {
	out := make([]geom.Point, n)
	for i := range out {
		turn := (float64(i) + 0.8*rng.Float64()) * 2 * math.Pi / float64(n)
		out[i] = geom.Polar(least+(most-least)*rng.Float64(), geom.Radians(turn))
	}
	return out
}

// anyConvex is the hull of some random points.
func anyConvex(rng *rand.Rand, size float64) []geom.Point {
	pts := make([]geom.Point, 3+rng.Intn(8))
	for i := range pts {
		pts[i] = geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(2 * size)
	}
	return Hull([][]geom.Point{pts})
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// triangle has legs of 3 and 4 mm.
var triangle = []geom.Point{{}, {X: 3}, {Y: 4}}

func TestByHand(t *testing.T) {
	near(t, "area", Area(triangle), 6, 1e-12)
	near(t, "length", Length(triangle), 12, 1e-12)
	c := Centroid(triangle)
	near(t, "centroid x", c.X, 1, 1e-12)
	near(t, "centroid y", c.Y, 4.0/3, 1e-12)
}

// Laws: turning and shifting keeps area and length and takes the centroid
// along; reversing turns the area's sign. Far off no digits are lost.
func TestLawsOfMotion(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 200 {
		loop := star(rng, 3+rng.Intn(12), 5, 40)
		m := geom.Rotation(geom.Radians(7*rng.Float64()), geom.Point{}).Then(geom.Translation(1e4*rng.Float64(), -1e4*rng.Float64()))
		moved := make([]geom.Point, len(loop))
		for i, p := range loop {
			moved[i] = m.Apply(p)
		}
		near(t, "area", Area(moved), Area(loop), 1e-7)
		near(t, "length", Length(moved), Length(loop), 1e-8)
		near(t, "centroid", Centroid(moved).Dist(m.Apply(Centroid(loop))), 0, 1e-8)
		slices.Reverse(moved)
		near(t, "area reversed", Area(moved), -Area(loop), 1e-7)
	}
}

// A strip as wide as the snap tolerance is not solid, one twice as wide is.
func TestSolid(t *testing.T) {
	strip := func(w float64) []geom.Point { return []geom.Point{{}, {X: 50}, {X: 50, Y: w}, {Y: w}} }
	if Solid(strip(geom.SnapTolerance)) || !Solid(strip(2*geom.SnapTolerance)) || Solid(nil) || Solid(triangle[:2]) {
		t.Error("solid is not wider than the snap tolerance")
	}
}

// Law: points thrown at loops fall inside as often as the area says, holes
// taken off.
func TestHoldsAgreesWithArea(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	for range 50 {
		outer, hole := star(rng, 9, 12, 20), star(rng, 6, 3, 10)
		hits := 0
		for range 4000 {
			if Holds([][]geom.Point{outer, hole}, geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(40)) {
				hits++
			}
		}
		near(t, "area by sampling", float64(hits)/4000*1600, Area(outer)-Area(hole), 60)
	}
}

// Law: a place is on the rim just if a side comes within reach of it, as the
// line's own measure has it; a side of no length changes nothing.
func TestOnRim(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	seen := map[bool]int{}
	for range 2000 {
		loop := star(rng, 3+rng.Intn(8), 5, 20)
		loop = append(loop, loop[len(loop)-1])
		p := geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(50)
		least := math.Inf(1)
		for i, q := range loop {
			_, d := geom.LineFrom(q, loop[(i+1)%len(loop)]).Nearest(p)
			least = math.Min(least, d)
		}
		for _, reach := range []float64{least * (1 - 1e-9), least * (1 + 1e-9), 5} {
			got := OnRim([][]geom.Point{loop}, p, reach)
			seen[got]++
			if got != (least <= reach) {
				t.Fatalf("%v, %g from the rim of %v, within %g: %t", p, least, loop, reach, got)
			}
		}
	}
	if min(seen[true], seen[false]) < 1000 {
		t.Errorf("answers %v", seen)
	}
}
