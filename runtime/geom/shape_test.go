package geom

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// 3 × 4 inch is 76.2 × 101.6 mm (common practice, no source).
func TestRect(t *testing.T) {
	p := mustPath(t)(Rect(76.2, 101.6, 0))
	if !slices.Equal(p.Names(), []string{"bottom", "right", "top", "left"}) || p.Start() != (Point{}) {
		t.Errorf("got %v", p)
	}
	if b := p.Bounds(); b != BoxOf(Pt(0, 0), Pt(76.2, 101.6)) || !near(p.Area(), 7741.92, 1e-9) || !joined(p) {
		t.Errorf("bounds %v, area %g", b, p.Area())
	}
}

// Rounding takes (4 − π)·r² off a rectangle and 8r − 2πr off its outline.
func TestRectRounded(t *testing.T) {
	for _, r := range []float64{0.5, 5, 19.99, 20} {
		p := mustPath(t)(Rect(60, 40, r))
		if want := 2400 - (4-math.Pi)*r*r; !near(p.Area(), want, 1e-9) {
			t.Errorf("round %g: area %g, want %g", r, p.Area(), want)
		}
		if want := 200 - (8-2*math.Pi)*r; !near(p.Length(), want, 1e-9) {
			t.Errorf("round %g: length %g, want %g", r, p.Length(), want)
		}
		if q := mustPath(t)(p.Check()); q.String() != p.String() || !joined(p) || !smoothAll(p) {
			t.Errorf("round %g: %v is no smooth outline", r, p)
		}
	}
	full := mustPath(t)(Rect(60, 40, 20))
	if want := []string{"bottom", "bottom-right", "right-top", "top", "top-left", "left-bottom"}; !slices.Equal(full.Names(), want) {
		t.Errorf("fully rounded: %v, want %v", full.Names(), want)
	}
}

// smoothAll reports an outline without corners.
func smoothAll(p Path) bool {
	return !slices.ContainsFunc(p.joints(), func(k corner) bool { return !p.smooth(k) })
}

func TestPolygon(t *testing.T) {
	p := mustPath(t)(Polygon([]Point{{0, 0}, {0, 10}, {20, 0}}, nil))
	if !slices.Equal(p.Names(), []string{"e0", "e2", "e1"}) || !near(p.Area(), 100, 1e-12) {
		t.Errorf("a clockwise triangle gives %v", p)
	}
	if e := p.Edges[p.Index("e1")]; e.P != Pt(20, 0) || e.Q != Pt(0, 10) {
		t.Errorf("e1 runs from %v to %v", e.P, e.Q)
	}
	p = mustPath(t)(Polygon([]Point{{0, 0}, {20, 0}, {0, 10}}, []string{"a", "b", "c"}))
	if !slices.Equal(p.Names(), []string{"a", "b", "c"}) {
		t.Errorf("names %v", p.Names())
	}
}

// A regular polygon's sides are equal; its area is n·s²/(4·tan(π/n)).
func TestRegular(t *testing.T) {
	for _, n := range []int{3, 4, 5, 6, 7, 12, 100, maxSides} {
		p := mustPath(t)(Regular(n, 25))
		if e := p.Edges[0]; e.P != (Point{}) || e.Q != Pt(25, 0) || e.Name != "e0" || len(p.Edges) != n {
			t.Errorf("%d sides: first edge %v", n, e)
		}
		for _, e := range p.Edges {
			if !near(e.Length(), 25, 1e-9) {
				t.Errorf("%d sides: edge %q is %g long", n, e.Name, e.Length())
			}
		}
		if want := float64(n) * 625 / (4 * math.Tan(math.Pi/float64(n))); !near(p.Area(), want, 1e-9*want) {
			t.Errorf("%d sides: area %g, want %g", n, p.Area(), want)
		}
	}
}

func TestCircle(t *testing.T) {
	p := mustPath(t)(Circle(18))
	if !near(p.Area(), math.Pi*81, 1e-11) || !near(p.Length(), math.Pi*18, 1e-11) || !joined(p) || !smoothAll(p) {
		t.Errorf("area %g, length %g", p.Area(), p.Length())
	}
	if !slices.Equal(p.Names(), []string{"e0", "e1", "e2", "e3"}) || p.Start() != Pt(9, 0) {
		t.Errorf("got %v", p)
	}
	if b := p.Bounds(); b != BoxOf(Pt(-9, -9), Pt(9, 9)) {
		t.Errorf("bounds %v", b)
	}
}

// An oval stays as close to the ellipse as promised and is its size.
func TestOval(t *testing.T) {
	p := mustPath(t)(Oval(60, 40))
	if len(p.Edges) != 8 || !joined(p) || !smoothAll(p) {
		t.Errorf("got %v", p)
	}
	for _, q := range p.Flatten(1e-4) {
		if e := math.Hypot(q.X/30, q.Y/20) - 1; math.Abs(e) > 4.3e-6 {
			t.Errorf("%v strays by %g of the half axis", q, e)
		}
	}
	if !near(p.Area(), math.Pi*600, 0.01) {
		t.Errorf("area %g, want %g", p.Area(), math.Pi*600)
	}
	if c := mustPath(t)(Oval(18, 18)); c.String() != mustPath(t)(Circle(18)).String() {
		t.Errorf("an oval as wide as high is %v", c)
	}
}

func TestSlot(t *testing.T) {
	square, small := 0.0, 1.5
	for _, c := range []struct {
		round *float64
		r     float64
		edges int
	}{{nil, 4, 6}, {&square, 0, 4}, {&small, 1.5, 8}} {
		p := mustPath(t)(Slot(50, 8, c.round))
		b := p.Bounds()
		if b.Min.Dist(Pt(-25, -4)) > 1e-12 || b.Max.Dist(Pt(25, 4)) > 1e-12 || len(p.Edges) != c.edges {
			t.Errorf("round %g: %v within %v", c.r, p, b)
		}
		if want := 400 - (4-math.Pi)*c.r*c.r; !near(p.Area(), want, 1e-9) {
			t.Errorf("round %g: area %g, want %g", c.r, p.Area(), want)
		}
	}
	if p := mustPath(t)(Slot(8, 8, nil)); !near(p.Area(), math.Pi*16, 1e-9) || len(p.Edges) != 4 {
		t.Errorf("a slot as long as wide is %v", p)
	}
}

// Each shape refuses numbers that are no sizes and says which.
func TestShapesRefuse(t *testing.T) {
	for _, bad := range []struct {
		v    float64
		text string
	}{
		{0, "is 0 mm, and sizes lie between 0.001 and 100000 mm"},
		{-5, "is -5 mm, and"}, {1e-5, "is 1e-05 mm, and"}, {100001, "is 100001 mm, and"},
		{1e300, "is 1e+300 mm, and"},
		{math.NaN(), "is NaN, not an ordinary number"}, {math.Inf(-1), "is -Inf, not an ordinary number"},
	} {
		for name, f := range map[string]func(float64) (Path, error){
			"the width":    func(v float64) (Path, error) { return Rect(v, 10, 0) },
			"the height":   func(v float64) (Path, error) { return Rect(10, v, 0) },
			"the diameter": Circle,
			"the side":     func(v float64) (Path, error) { return Regular(6, v) },
			"the length":   func(v float64) (Path, error) { return Slot(v, 10, nil) },
		} {
			if _, err := f(bad.v); err == nil || !strings.HasPrefix(err.Error(), name+" "+bad.text) {
				t.Errorf("%s of %g: %v", name, bad.v, err)
			}
		}
		if _, err := Oval(bad.v, 5); err == nil {
			t.Errorf("an oval %g wide is made", bad.v)
		}
		if _, err := Oval(5, bad.v); err == nil {
			t.Errorf("an oval %g high is made", bad.v)
		}
	}
}

func TestShapeErrors(t *testing.T) {
	_, err := Rect(60, 50, 26)
	wantError(t, err, "a rounding of 26 mm does not fit a rectangle of 60 × 50 mm: between 0 and 25 mm does")
	_, err = Rect(60, 50, math.NaN())
	wantError(t, err, "the rounding is NaN, not an ordinary number")
	_, err = Polygon([]Point{{0, 0}, {1, 1}}, nil)
	wantError(t, err, "a polygon needs at least 3 points, and there are 2")
	_, err = Polygon([]Point{{0, 0}, {1, 0}, {0, 1}}, []string{"a"})
	wantError(t, err, "the polygon has 3 edges and 1 names")
	_, err = Polygon([]Point{{0, 0}, {1, 0}, {0, 1}}, []string{"a", "b", "a"})
	wantError(t, err, `two edges are named "a"`)
	_, err = Polygon([]Point{{0, 0}, {1, 0}, {math.NaN(), 1}}, nil)
	wantError(t, err, "a coordinate of point 2 is NaN, not an ordinary number")
	_, err = Regular(2, 10)
	wantError(t, err, "a regular polygon has 3 to 1000 sides, not 2")
	_, err = Regular(1000, 1e5)
	if err == nil || !strings.HasPrefix(err.Error(), "the polygon's radius is ") {
		t.Errorf("a polygon of 16 km radius: %v", err)
	}
}
