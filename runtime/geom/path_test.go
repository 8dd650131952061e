package geom

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// A motion keeps an outline's area, length and names; it stays counter-
// clockwise and keeps its first edge first, mirrored or not.
func TestMovePath(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 200 {
		p, m := randomOutline(r, 3+r.Intn(10)), randomMotion(r)
		q := p.Transform(m)
		if !near(q.Area(), p.Area(), 1e-8) || !near(q.Length(), p.Length(), 1e-9) {
			t.Errorf("area %g to %g, length %g to %g", p.Area(), q.Area(), p.Length(), q.Length())
		}
		if q.Edges[0].Name != "e0" || !joined(q) {
			t.Errorf("%v moved is %v", p, q)
		}
		for _, e := range p.Edges {
			mid := m.Apply(e.At(0.5))
			if _, d := q.Edges[q.Index(e.Name)].Nearest(mid); d > 1e-9 {
				t.Errorf("edge %q is %g from where it should be", e.Name, d)
			}
		}
	}
}

// joined reports a closed path whose edges run end to end.
func joined(p Path) bool {
	for i, e := range p.Edges {
		if e.Q.Dist(p.Edges[(i+1)%len(p.Edges)].P) > 1e-10 {
			return false
		}
	}
	return p.Closed
}

// Reversing twice is nothing; once, it turns the area's sign and reverses the
// names after the first.
func TestReversePath(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 100 {
		p := randomOutline(r, 5)
		q := p.Reverse()
		if !near(q.Area(), -p.Area(), 1e-9) || !joined(q) || !slices.Equal(q.Names(), []string{"e0", "e4", "e3", "e2", "e1"}) {
			t.Errorf("%v reversed is %v", p, q)
		}
		if q.Reverse().String() != p.String() {
			t.Errorf("%v reversed twice is %v", p, q.Reverse())
		}
	}
}

// An open path reverses from its end.
func TestReverseOpen(t *testing.T) {
	p := Path{Edges: []Edge{{"a", LineFrom(Pt(0, 0), Pt(1, 0))}, {"b", LineFrom(Pt(1, 0), Pt(1, 1))}}}
	q := p.Reverse()
	if !slices.Equal(q.Names(), []string{"b", "a"}) || q.Start() != Pt(1, 1) || q.End() != Pt(0, 0) {
		t.Errorf("%v reversed is %v", p, q)
	}
}

// The area is that of a fine polygon, and does not suffer from being far off.
func TestPathArea(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 100 {
		p := randomOutline(r, 3+r.Intn(10))
		if want := polygonArea(p.Flatten(1e-6)); !near(p.Area(), want, 1e-6*want) {
			t.Errorf("area %g, polygon %g", p.Area(), want)
		}
		if far := p.Transform(Translation(9e4, -9e4)); !near(far.Area(), p.Area(), 1e-8) {
			t.Errorf("area %g, far off %g", p.Area(), far.Area())
		}
	}
}

// The bounds are the union of the edges'.
func TestPathBounds(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	p := randomOutline(r, 8)
	b := p.Bounds()
	for _, q := range p.Flatten(1e-3) {
		if !b.Grow(1e-9).Contains(q) {
			t.Errorf("%v lies outside %v", q, b)
		}
	}
	if !(Path{}).Bounds().Empty() {
		t.Error("a path without edges has bounds")
	}
}

func TestPathLookups(t *testing.T) {
	p := mustPath(t)(Rect(60, 40, 0))
	if p.Index("top") != 2 || p.Index("lid") != -1 || len(p.Curves()) != 4 {
		t.Error("edges are not where they belong")
	}
	if got := (Path{}).Flatten(1); got != nil {
		t.Errorf("no edges flatten to %v", got)
	}
	if got := p.Flatten(0.1); len(got) != 4 {
		t.Errorf("a rectangle flattens to %v", got)
	}
}

func TestNum(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{
		{60, "60"}, {0.5, "0.5"}, {1.0 / 3, "0.3333"}, {2.00004, "2"}, {-0.00001, "0"}, {0, "0"},
		{-7.25, "-7.25"}, {1e5, "100000"}, {math.Inf(1), "+Inf"}, {math.NaN(), "NaN"},
	} {
		if got := Num(c.v); got != c.want {
			t.Errorf("Num(%v) = %q, want %q", c.v, got, c.want)
		}
	}
}

// Laws: circles are as far apart as their centres less their radii, a circle inside
// another by what is left of the larger radius, and those that cross not at all; so
// are a line and a circle. Which path is asked makes no difference, nor does a
// motion of both.
func TestPathDistance(t *testing.T) {
	rng := rand.New(rand.NewSource(31))
	for range 300 {
		r, s, d := 1+9*rng.Float64(), 1+9*rng.Float64(), 25*rng.Float64()
		m := Rotation(Radians(6*rng.Float64()), Point{}).Then(Translation(100*rng.Float64(), 9))
		a, errA := Circle(2 * r)
		b, errB := Circle(2 * s)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		a, b = a.Transform(m), b.Transform(Translation(d, 0)).Transform(m)
		want := math.Max(0, math.Max(d-r-s, math.Abs(r-s)-d))
		if got := a.Distance(b); math.Abs(got-want) > 0.002 || math.Abs(b.Distance(a)-got) > 0.002 {
			t.Errorf("circles of %g and %g, %g apart: %g, want %g", r, s, d, got, want)
		}
		bar := Path{Edges: []Edge{{"e0", LineFrom(Pt(d, -30), Pt(d, 40))}}}.Transform(m)
		if got, want := a.Distance(bar), math.Max(0, d-r); math.Abs(got-want) > 0.002 || math.Abs(bar.Distance(a)-got) > 0.002 {
			t.Errorf("a line %g from a circle of %g: %g, want %g", d, r, got, want)
		}
	}
}
