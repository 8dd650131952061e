package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"
)

// Outlines that go once round a point pass, either way round, and come out
// counter-clockwise with the same edges.
func TestCheckPasses(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 200 {
		p := randomOutline(r, 3+r.Intn(20))
		for _, q := range []Path{p, p.Reverse()} {
			got, err := q.Check()
			if err != nil {
				t.Fatalf("%v: %v", q, err)
			}
			if got.String() != p.String() {
				t.Errorf("%v comes out as %v", q, got)
			}
		}
	}
}

// Polygons through random points pass exactly when no two of their sides
// cross, by brute force.
func TestCheckCrossings(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	good := 0
	for range 500 {
		points := make([]Point, 4+r.Intn(3))
		for i := range points {
			points[i] = randomPoint(r, 50)
		}
		ring := append(points, points[0])
		crosses := false
		for i := range points {
			for j := i + 2; j < len(points); j++ {
				if i > 0 || j < len(points)-1 {
					crosses = crosses || len(crossingsOf(ring[i:i+2], ring[j:j+2])) > 0
				}
			}
		}
		_, err := Polygon(points, nil)
		if (err != nil) != crosses {
			t.Errorf("%v: crosses %v, got %v", points, crosses, err)
		}
		if err == nil {
			good++
		}
	}
	if good < 50 || good > 450 {
		t.Errorf("%d of 500 polygons are simple", good)
	}
}

// outline names edges e0, e1, … .
func outline(cs ...Curve) Path {
	p := Path{Closed: true}
	for i, c := range cs {
		p.Edges = append(p.Edges, Edge{fmt.Sprintf("e%d", i), c})
	}
	return p
}

func ring(pts ...Point) Path {
	p := Path{Closed: true}
	for i, q := range pts {
		p.Edges = append(p.Edges, Edge{fmt.Sprintf("e%d", i), LineFrom(q, pts[(i+1)%len(pts)])})
	}
	return p
}

func TestCheckErrors(t *testing.T) {
	open := ring(Pt(0, 0), Pt(10, 0), Pt(10, 10))
	open.Closed = false
	gap := ring(Pt(0, 0), Pt(10, 0), Pt(10, 10))
	gap.Edges[1].P = Pt(10, 2)
	twin := ring(Pt(0, 0), Pt(10, 0), Pt(10, 10))
	twin.Edges[2].Name = "e0"
	// Its circle has radius 45.25/9 about (5, 4.5278), so it meets y = 0 at
	// x = 5 ± 2.1858.
	sagging, _ := ArcThrough(Pt(10, 4), Pt(5, -0.5), Pt(0, 4))
	for _, c := range []struct {
		want string
		p    Path
	}{
		{"the path is not closed: it runs from (0, 0) to (0, 0)", open},
		{"the path is not closed: it runs from (0, 0) to (0, 0)", Path{Closed: true}},
		{`edge "e1" starts 2 mm from where edge "e0" ends`, gap},
		{`two edges are named "e0"`, twin},
		{`edges "e0" and "e2" cross at (5, 5)`, ring(Pt(0, 0), Pt(10, 10), Pt(10, 0), Pt(0, 10))},
		{`edges "e0" and "e2" touch at (5, 0)`, ring(Pt(0, 0), Pt(10, 0), Pt(10, 10), Pt(5, 0), Pt(0, 10))},
		{`edges "e0" and "e2" touch at (0, 0)`, ring(Pt(0, 0), Pt(10, 0), Pt(5, 5), Pt(0, 0), Pt(-10, 0), Pt(-5, -5))},
		{`edges "e0" and "e1" run along each other from (4, 0) to (10, 0)`, ring(Pt(0, 0), Pt(10, 0), Pt(4, 0), Pt(4, 8))},
		{`edges "e0" and "e1" run along each other from (8, 0) to (10, 0)`,
			ring(Pt(0, 0), Pt(10, 0), Pt(8, 0.0005), Pt(2, 0.0005), Pt(2, 8))},
		{`edge "e1" is 0 mm long, and sizes begin at 0.001 mm`, ring(Pt(0, 0), Pt(10, 0), Pt(10, 0), Pt(10, 10))},
		{`a coordinate of edge "e0" is NaN, not an ordinary number`, ring(Pt(0, 0), Pt(math.NaN(), 0), Pt(10, 10))},
		{`edge "e0" lies at (200000, 0) mm, and coordinates reach to 100000 mm`, ring(Pt(0, 0), Pt(2e5, 0), Pt(10, 10))},
		{`edge "e0" crosses itself at (0, 3.75)`,
			outline(CubicFrom(Pt(-2, 0), Pt(10, 20), Pt(-10, 20), Pt(2, 0)), LineFrom(Pt(2, 0), Pt(-2, 0)))},
		{`edges "e0" and "e2" cross at (2.8142, 0)`, outline(
			LineFrom(Pt(0, 0), Pt(10, 0)), LineFrom(Pt(10, 0), Pt(10, 4)), sagging, LineFrom(Pt(0, 4), Pt(0, 0)))},
	} {
		_, err := c.p.Check()
		wantError(t, err, c.want)
	}
}

// A drop drawn as one cubic that comes home is an outline; so are two arcs with
// both ends in common.
func TestCheckFewEdges(t *testing.T) {
	drop := outline(CubicFrom(Pt(0, 0), Pt(20, 10), Pt(20, -10), Pt(0, 0)))
	lens := outline(ArcFrom(Pt(5, 0), Pt(0, 0), Degrees(180).Angle()), ArcFrom(Pt(-5, 0), Pt(0, 0), Degrees(180).Angle()))
	for _, p := range []Path{drop, lens} {
		q, err := p.Check()
		if err != nil || q.Area() <= 0 {
			t.Errorf("%v: %v, %v", p, q, err)
		}
	}
}

// Corners may be sharp and edges short, as long as they are sizes.
func TestCheckTiny(t *testing.T) {
	for _, p := range []Path{
		ring(Pt(0, 0), Pt(10, 0), Pt(10.0008, 0.0008), Pt(10, 10)),
		ring(Pt(0, 0), Pt(100, 0), Pt(0, 1)),
	} {
		if _, err := p.Check(); err != nil {
			t.Errorf("%v: %v", p, err)
		}
	}
}

// Laws: a straight cubic doubled back on itself has no crossing wherever it lies, and
// a loop keeps its parameters however flat it is pressed, until its height is down to
// the rounding of coordinates.
func TestFlatSelfCrossing(t *testing.T) {
	r := rand.New(rand.NewSource(23))
	for range 2000 {
		from, dir := randomPoint(r, MaxSize/2), Radians(7*r.Float64())
		sin, cos := dir.SinCos()
		along := func(d float64) Point { return from.Add(Pt(d*cos, d*sin)) }
		c := CubicFrom(along(0), along(20+50*r.Float64()), along(-30*r.Float64()), along(10))
		if s, u, ok := c.SelfCrossing(); ok {
			t.Errorf("the straight cubic %v crosses itself at %g and %g", c, s, u)
		}
	}
	// Of a loop h mm high, b is (−240, −3h) and a (160, 0) in mm: b × a is 480h, to be
	// compared with 400·1e-9.
	loop := func(height float64) Curve {
		return CubicFrom(Pt(0, 0), Pt(30, height), Pt(-20, height), Pt(10, 0))
	}
	s, u, ok := loop(10).SelfCrossing()
	if !ok {
		t.Fatal("no loop")
	}
	for _, height := range []float64{1e-3, 1e-6, 3e-9} {
		if v, w, ok := loop(height).SelfCrossing(); !ok || !near(v, s, 1e-6) || !near(w, u, 1e-6) {
			t.Errorf("a loop %g mm high crosses itself at %g and %g, %v; want %g and %g", height, v, w, ok, s, u)
		}
	}
	if _, _, ok := loop(3e-10).SelfCrossing(); ok {
		t.Error("a loop lower than rounding crosses itself")
	}
}

// Where a cubic passes through one point twice, the two parameters say so;
// brute force over the flattened curve agrees on whether it does.
func TestSelfCrossing(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	loops := 0
	for n := range 2000 {
		c := randomCurve(r, Cubic)
		s, u, ok := c.SelfCrossing()
		pts, found := flat(c, 1e-2), false
		for i := 1; i < len(pts); i++ {
			for j := i + 2; j < len(pts); j++ {
				found = found || len(crossingsOf(pts[i-1:i+1], pts[j-1:j+1])) > 0
			}
		}
		if ok != found {
			// A loop smaller than the flattening resolves does not count.
			if ok && c.Part(s, u).Length() < 1 {
				continue
			}
			t.Errorf("case %d: %+v crosses itself %v, brute force says %v", n, c, ok, found)
		}
		if ok {
			loops++
			if d := c.At(s).Dist(c.At(u)); d > 1e-9 || s >= u {
				t.Errorf("case %d: %g and %g are %g apart", n, s, u, d)
			}
		}
	}
	if loops < 50 {
		t.Errorf("only %d loops seen", loops)
	}
	if _, _, ok := LineFrom(Pt(0, 0), Pt(1, 1)).SelfCrossing(); ok {
		t.Error("a line crosses itself")
	}
}
