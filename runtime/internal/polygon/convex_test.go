package polygon

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Laws of the hull: it is convex, holds every point, has only given points for
// corners, and is its own hull.
func TestHullLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(51))
	for range 300 {
		pts := star(rng, 3+rng.Intn(20), 1, 50)
		h := Hull([][]geom.Point{pts})
		if !Convex(h) {
			t.Fatalf("hull %v of %v is not convex", h, pts)
		}
		if !Within(pts, h, 1e-9) {
			t.Fatalf("the hull %v does not hold %v", h, pts)
		}
		for _, q := range h {
			if !slices.Contains(pts, q) {
				t.Fatalf("the hull has a corner %v of its own", q)
			}
		}
		if again := Hull([][]geom.Point{h}); len(again) != len(h) {
			t.Fatalf("the hull of a hull of %d corners has %d", len(h), len(again))
		}
	}
}

// Law: noise in the last bits of corners and of points along the sides loses no
// corner, upright sides included, along which sorting follows the noise.
func TestHullOfNoisySides(t *testing.T) {
	rng := rand.New(rand.NewSource(52))
	for range 2000 {
		w, h := 1+100*rng.Float64(), 1+100*rng.Float64()
		box := []geom.Point{{}, {X: w}, {X: w, Y: h}, {Y: h}}
		turn := geom.Rotation(geom.Radians(float64(rng.Intn(12))*geom.Degrees(30).Angle().Radians()), geom.Point{})
		var pts []geom.Point
		for i, p := range box {
			q := box[(i+1)%len(box)]
			pts = append(pts, p)
			for range rng.Intn(3) {
				pts = append(pts, p.Lerp(q, rng.Float64()))
			}
		}
		for i, p := range pts {
			pts[i] = turn.Apply(p).Add(geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(1e-14))
		}
		if got := Hull([][]geom.Point{pts}); !Within(pts, got, 1e-9) || math.Abs(Area(got)-w*h) > 1e-9 {
			t.Fatalf("the hull of %v is %v", pts, got)
		}
	}
}

func TestConvexByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		loop []geom.Point
		want bool
	}{
		{"square", []geom.Point{{}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, true},
		{"corner in a side", []geom.Point{{}, {X: 5}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, true},
		{"dented by 0.01", []geom.Point{{}, {X: 5, Y: 0.01}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}, false},
		{"clockwise", []geom.Point{{}, {Y: 9}, {X: 9, Y: 9}, {X: 9}}, false},
		{"two points", []geom.Point{{}, {Y: 9}}, false},
	} {
		if got := Convex(c.loop); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// A convex loop clipped by another lies within both and has the area that
// throwing points finds, whichever clips which.
func TestClip(t *testing.T) {
	rng := rand.New(rand.NewSource(55))
	for range 100 {
		a, b := anyConvex(rng, 20), anyConvex(rng, 20)
		ab, ba := Clip(a, b), Clip(b, a)
		if !Solid(ab) {
			if Solid(ba) {
				t.Fatalf("%v and %v overlap one way only", a, b)
			}
			continue
		}
		near(t, "area the other way", Area(ba), Area(ab), 1e-9)
		if !Within(ab, a, 1e-9) || !Within(ab, b, 1e-9) {
			t.Errorf("%v lies outside %v or %v", ab, a, b)
		}
		if c := Centroid(ab); !Holds([][]geom.Point{a}, c) || !Holds([][]geom.Point{b}, c) {
			t.Errorf("the centroid %v lies outside", c)
		}
		hits := 0
		for range 4000 {
			p := geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(40)
			if Holds([][]geom.Point{a}, p) && Holds([][]geom.Point{b}, p) {
				hits++
			}
		}
		near(t, "area by sampling", float64(hits)/4000*1600, Area(ab), 45)
	}
}

// Law: a convex loop lies within another just if clipping by it takes nothing
// off.
func TestWithinAgreesWithClip(t *testing.T) {
	rng := rand.New(rand.NewSource(57))
	seen := map[bool]int{}
	for range 2000 {
		a, b := anyConvex(rng, 8), anyConvex(rng, 20)
		in := Within(a, b, 0)
		seen[in]++
		if whole := Area(Clip(a, b)) > Area(a)-1e-9; in != whole {
			t.Fatalf("%v within %v: %t", a, b, in)
		}
	}
	if min(seen[true], seen[false]) < 200 {
		t.Errorf("answers %v", seen)
	}
}

// The tolerance counts square to a side.
func TestWithinTolerance(t *testing.T) {
	loop := []geom.Point{{}, {X: 300}, {Y: 400}}
	beyond := geom.Pt(150, 200).Add(geom.Pt(4, 3).Mul(0.2)) // 1 mm off the long side
	if Within([]geom.Point{beyond}, loop, 0.999) || !Within([]geom.Point{beyond}, loop, 1.001) {
		t.Error("1 mm is not told from 0.999 and 1.001 mm")
	}
	if Within(loop, loop[:2], 1) {
		t.Error("two points hold something")
	}
}

// A face cut off by a line that only grazes its corner leaves the corner, once
// for each side that ends there.
func TestNothingLiesWithinOneSpot(t *testing.T) {
	p, q := geom.Pt(3, 4), geom.Pt(90, 7)
	for _, loop := range [][]geom.Point{{p, p, p}, {p, p, p, p}, {p, p, q}, {p, q, q}} {
		if Within([]geom.Point{{}, {X: 100}, {Y: 100}}, loop, geom.SnapTolerance) {
			t.Errorf("%v holds a triangle", loop)
		}
	}
	if !Within([]geom.Point{{X: 1, Y: 1}}, []geom.Point{{}, {}, {X: 9}, {Y: 9}, {Y: 9}}, 0) {
		t.Error("a corner given twice lets nothing in")
	}
}

// Law: of two convex loops, one has a side that parts them just if clipping
// leaves nothing; a tolerance lets them overlap by as much.
func TestApartAgreesWithClip(t *testing.T) {
	rng := rand.New(rand.NewSource(58))
	seen := map[bool]int{}
	for range 2000 {
		a, b := anyConvex(rng, 10), anyConvex(rng, 10)
		for i := range b {
			b[i] = b[i].Add(geom.Pt(15, 0))
		}
		apart := Apart(a, b, 0) || Apart(b, a, 0)
		seen[apart]++
		if nothing := len(Clip(a, b)) < 3 || Area(Clip(a, b)) < 1e-12; apart != nothing {
			t.Fatalf("%v and %v apart: %t", a, b, apart)
		}
	}
	if min(seen[true], seen[false]) < 200 {
		t.Errorf("answers %v", seen)
	}
	over := []geom.Point{{X: 8.5}, {X: 12}, {X: 12, Y: 3}}
	if box := []geom.Point{{}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}; Apart(over, box, 0.4) || !Apart(over, box, 0.6) {
		t.Error("0.5 mm is not told from 0.4 and 0.6 mm")
	}
	if twice := []geom.Point{{}, {}, {X: 9}, {X: 9, Y: 9}, {Y: 9}}; Apart(over, twice, 0) {
		t.Error("a corner given twice parts what overlaps")
	}
}

// A corner given twice is no turn, right or left.
func TestConvexWithRepeatedCorners(t *testing.T) {
	loop := []geom.Point{{X: 0, Y: 0}, {X: 2, Y: 0}, {X: 2, Y: 0}, {X: 1, Y: 2}}
	if !Convex(loop) {
		t.Error("a triangle with a corner given twice is not convex")
	}
	if loop[3].Y = -2; Convex(loop) {
		t.Error("a triangle that runs clockwise is convex")
	}
}
