package geom

import (
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"
)

// Round and Chamfer take the corners they are asked for, in either order of
// names, and name what they put there by its neighbours in order of travel.
func TestCornerNames(t *testing.T) {
	p := mustPath(t)(Rect(60, 40, 0))
	for _, c := range []struct {
		corners [][2]string
		want    []string
	}{
		{nil, []string{"bottom", "bottom-right", "right", "right-top", "top", "top-left", "left", "left-bottom"}},
		{[][2]string{{"top", "right"}}, []string{"bottom", "right", "right-top", "top", "left"}},
		{[][2]string{{"bottom", "left"}, {"left", "bottom"}}, []string{"bottom", "right", "top", "left", "left-bottom"}},
		{[][2]string{}, []string{"bottom", "right", "top", "left"}},
	} {
		for _, cut := range []func(float64, [][2]string) (Path, error){p.Round, p.Chamfer} {
			if got := mustPath(t)(cut(5, c.corners)); !slices.Equal(got.Names(), c.want) {
				t.Errorf("corners %v give %v, want %v", c.corners, got.Names(), c.want)
			}
		}
	}
}

// A name that is taken gets a number.
func TestCornerNamesTaken(t *testing.T) {
	p := ring(Pt(0, 0), Pt(60, 0), Pt(60, 40), Pt(0, 40))
	p.Edges[2].Name, p.Edges[3].Name = "e0-e1", "e0-e1.2"
	q := mustPath(t)(p.Round(3, [][2]string{{"e0", "e1"}}))
	if want := []string{"e0", "e0-e1.3", "e1", "e0-e1", "e0-e1.2"}; !slices.Equal(q.Names(), want) {
		t.Errorf("names %v, want %v", q.Names(), want)
	}
}

// Rounding a rectangle by Round is rounding it when it is made.
func TestRoundRect(t *testing.T) {
	for _, r := range []float64{1, 12.5, 20} {
		p, q := mustPath(t)(mustPath(t)(Rect(60, 40, 0)).Round(r, nil)), mustPath(t)(Rect(60, 40, r))
		if !slices.Equal(p.Names(), q.Names()) {
			t.Fatalf("names %v and %v", p.Names(), q.Names())
		}
		for i := range p.Edges {
			a, b := p.Edges[i], q.Edges[i]
			if a.Kind != b.Kind || a.P.Dist(b.P)+a.Q.Dist(b.Q)+a.C.Dist(b.C) > 1e-12 || a.R != b.R || !near(a.Sweep.Radians(), b.Sweep.Radians(), 1e-14) {
				t.Errorf("round %g: %+v and %+v", r, a, b)
			}
		}
	}
}

// Each corner of a random outline that is rounded becomes an arc of just that
// radius, on which both neighbours run smoothly; what is left of an edge lies
// on the edge, and corners not asked for stay.
func TestRoundLaws(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	rounded := 0
	for range 300 {
		p := randomOutline(r, 4+r.Intn(6))
		k := p.joints()[r.Intn(len(p.Edges))]
		a, b := p.Edges[k.in].Name, p.Edges[k.out].Name
		radius := 0.5 + 8*r.Float64()
		q, err := p.Round(radius, [][2]string{{b, a}})
		if err != nil {
			continue
		}
		rounded++
		i := q.Index(a + "-" + b)
		arc := q.Edges[i]
		if arc.Kind != Arc || arc.R != radius || !near(arc.P.Dist(arc.C), radius, 1e-9) || !near(arc.Q.Dist(arc.C), radius, 1e-9) {
			t.Fatalf("radius %g gives %+v", radius, arc)
		}
		for _, j := range q.joints() {
			at := j.in == i || j.out == i
			turn := math.Abs(q.Edges[j.in].Tangent(1).Cross(q.Edges[j.out].Tangent(0)))
			if at && turn > 1e-9 {
				t.Errorf("the arc %v turns off by %g", arc, turn)
			}
		}
		for _, e := range q.Edges {
			if old := p.Index(e.Name); old >= 0 {
				_, d0 := p.Edges[old].Nearest(e.P)
				_, d1 := p.Edges[old].Nearest(e.At(0.5))
				if d0+d1 > 1e-9 || e.Kind != p.Edges[old].Kind {
					t.Errorf("edge %q left its place by %g", e.Name, d0+d1)
				}
			}
		}
		if !joined(q) || len(q.joints()) != len(p.joints())+1 {
			t.Errorf("%v rounded is %v", p, q)
		}
	}
	if rounded < 150 {
		t.Errorf("only %d of 300 outlines could be rounded", rounded)
	}
}

// A corner between two lines that turns by 2a loses r·tan(a) of either side and
// (tan(a) − a)·r² of area.
func TestRoundLines(t *testing.T) {
	for _, n := range []int{3, 5, 6, 17} {
		p := mustPath(t)(Regular(n, 50))
		q := mustPath(t)(p.Round(4, nil))
		a := math.Pi / float64(n)
		if want := p.Area() - float64(n)*16*(math.Tan(a)-a); !near(q.Area(), want, 1e-9*want) {
			t.Errorf("%d sides: area %g, want %g", n, q.Area(), want)
		}
		if got := q.Edges[0].Length(); !near(got, 50-8*math.Tan(a), 1e-10) {
			t.Errorf("%d sides: %g left of a side", n, got)
		}
	}
}

// A half disc of radius R: an arc of radius r in the corner between its
// diameter and its rim is centred at height r and R − r from the middle, so it
// touches the diameter at √(R² − 2Rr). Between two rims of radius R whose
// centres lie ±h off the axis its centre stands √((R − r)² − h²) from the
// middle.
func TestRoundArcs(t *testing.T) {
	half := mustPath(t)(outline(LineFrom(Pt(-25, 0), Pt(25, 0)), ArcFrom(Pt(25, 0), Pt(0, 0), Radians(math.Pi))).Check())
	q := mustPath(t)(half.Round(4, nil))
	if x := q.Edges[0].Q.X; !near(x, math.Sqrt(25*25-200), 1e-10) {
		t.Errorf("the arc touches the diameter at %g", x)
	}
	if arc := q.Edges[1]; !near(arc.C.Len(), 21, 1e-10) || !near(arc.C.Y, 4, 1e-10) {
		t.Errorf("the arc's centre is %v", arc.C)
	}
	lower, _ := ArcRadius(Pt(-20, 0), Pt(20, 0), 25)
	upper, _ := ArcRadius(Pt(20, 0), Pt(-20, 0), 25)
	lens := mustPath(t)(mustPath(t)(outline(lower, upper).Check()).Round(3, nil))
	if c := lens.Edges[1].C; !near(c.X, math.Sqrt(22*22-15*15), 1e-10) || !near(c.Y, 0, 1e-10) {
		t.Errorf("the lens's arc is centred at %v", c)
	}
}

// Hollow corners, turning right, are rounded from the other side.
func TestRoundHollow(t *testing.T) {
	p := ring(Pt(0, 0), Pt(30, 0), Pt(30, 10), Pt(10, 10), Pt(10, 30), Pt(0, 30))
	q := mustPath(t)(p.Round(3, [][2]string{{"e2", "e3"}}))
	arc := q.Edges[q.Index("e2-e3")]
	if arc.C.Dist(Pt(13, 13)) > 1e-12 || !near(arc.Sweep.Radians(), -math.Pi/2, 1e-14) || !near(q.Area(), p.Area()+(1-math.Pi/4)*9, 1e-10) {
		t.Errorf("got %+v", arc)
	}
}

// A smooth joint is passed over when all corners are rounded.
func TestRoundSkipsSmooth(t *testing.T) {
	p := mustPath(t)(Rect(60, 40, 5))
	if q := mustPath(t)(p.Round(2, nil)); q.String() != p.String() {
		t.Errorf("%v becomes %v", p, q)
	}
}

// Open paths keep their ends.
func TestRoundOpen(t *testing.T) {
	p := start(0, 0).line(20, 0, "").line(20, 20, "").line(0, 20, "").p
	q := mustPath(t)(p.Round(5, nil))
	if q.Closed || q.Start() != p.Start() || q.End() != p.End() || !slices.Equal(q.Names(), []string{"e0", "e0-e1", "e1", "e1-e2", "e2"}) {
		t.Errorf("got %v", q)
	}
	if want := 60 - 20 + 5*math.Pi; !near(q.Length(), want, 1e-10) {
		t.Errorf("length %g, want %g", q.Length(), want)
	}
}

// A chamfer is measured along the edges, arcs included.
func TestChamfer(t *testing.T) {
	half := mustPath(t)(outline(LineFrom(Pt(-25, 0), Pt(25, 0)), ArcFrom(Pt(25, 0), Pt(0, 0), Radians(math.Pi))).Check())
	q := mustPath(t)(half.Chamfer(5, nil))
	if l := q.Edges[0].Length(); !near(l, 40, 1e-10) {
		t.Errorf("%g left of the diameter", l)
	}
	if l := q.Edges[2].Length(); !near(l, 25*math.Pi-10, 1e-10) || q.Edges[2].Kind != Arc {
		t.Errorf("%g left of the rim", l)
	}
	sq := mustPath(t)(mustPath(t)(Rect(40, 40, 0)).Chamfer(10, nil))
	if !near(sq.Area(), 1600-200, 1e-10) {
		t.Errorf("area %g", sq.Area())
	}
}

// The radius said to be the most does fit, and a little more does not.
func TestLargestFits(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	said := 0
	for range 200 {
		p := randomOutline(r, 4+r.Intn(4))
		pair := [][2]string{{"e0", "e1"}}
		for _, cut := range []func(float64, [][2]string) (Path, error){p.Round, p.Chamfer} {
			_, err := cut(200, pair)
			most, ok := largest(err)
			if !ok {
				continue
			}
			said++
			if _, err := cut(most, pair); err != nil && strings.Contains(err.Error(), "is the most") {
				t.Errorf("%g is said to fit: %v", most, err)
			}
			if _, err := cut(most+2e-4, pair); err == nil {
				t.Errorf("%g is said to be the most, and more fits", most)
			}
		}
	}
	if said < 100 {
		t.Errorf("only %d errors named a size", said)
	}
}

func TestCornerErrors(t *testing.T) {
	p := mustPath(t)(Rect(60, 40, 0))
	for _, c := range []struct {
		size    float64
		corners [][2]string
		want    string
	}{
		{21, nil, `a radius of 21 mm does not fit at corner "bottom-right": 20 mm is the most`},
		{41, [][2]string{{"top", "right"}}, `a radius of 41 mm does not fit at corner "right-top": 40 mm is the most`},
		{5, [][2]string{{"top", "bottom"}}, `edges "top" and "bottom" have no corner in common`},
		{5, [][2]string{{"top", "top"}}, `edges "top" and "top" have no corner in common`},
		{5, [][2]string{{"top", "tip"}}, `there is no edge "tip"`},
		{-1, nil, "the radius is -1 mm, and sizes lie between 0.001 and 100000 mm"},
		{math.NaN(), nil, "the radius is NaN, not an ordinary number"},
	} {
		_, err := p.Round(c.size, c.corners)
		wantError(t, err, c.want)
	}
	_, err := p.Chamfer(20.5, nil)
	wantError(t, err, `a chamfer of 20.5 mm does not fit at corner "bottom-right": 20 mm is the most`)
	_, err = mustPath(t)(Rect(60, 40, 5)).Round(1, [][2]string{{"top", "right-top"}})
	wantError(t, err, `edges "top" and "right-top" run on smoothly and have no corner`)
	if q := mustPath(t)(p.Round(0, nil)); q.String() != p.String() {
		t.Errorf("a radius of 0 gives %v", q)
	}
}

// No arc fits into a cusp, where the edges leave the corner side by side.
func TestRoundCusp(t *testing.T) {
	p := outline(LineFrom(Pt(0, 0), Pt(20, 0)), ArcFrom(Pt(20, 0), Pt(20, 5), Radians(-math.Pi)),
		LineFrom(Pt(20, 10), Pt(0, 10)), LineFrom(Pt(0, 10), Pt(0, 0)))
	if _, err := p.Check(); err != nil {
		t.Fatal(err)
	}
	_, err := p.Round(1, [][2]string{{"e0", "e1"}})
	wantError(t, err, `a radius of 1 mm does not fit at corner "e0-e1", nor does any other`)
}

// A cut that fits its corner and would run into another edge is refused.
func TestRoundIntoAnotherEdge(t *testing.T) {
	// A spike reaches into the square's lower right corner.
	p := ring(Pt(0, 0), Pt(40, 0), Pt(40, 40), Pt(1, 40), Pt(38, 2), Pt(0, 39))
	if _, err := p.Check(); err != nil {
		t.Fatal(err)
	}
	_, err := p.Round(15, [][2]string{{"e0", "e1"}})
	if err == nil || !strings.HasPrefix(err.Error(), "a radius of 15 mm does not fit: edges") {
		t.Errorf("got %v", err)
	}
}

// An arc that touches a curve from beyond the centre of its curvature crosses
// it there, so a rounding that is wider than the curve's bend does not fit,
// though the equations have a solution.
func TestARoundingWiderThanTheBendDoesNotFit(t *testing.T) {
	for _, c := range []struct {
		a, b      Curve
		fits, not float64
	}{
		{
			CubicFrom(Pt(7.9, -3.222), Pt(-9.367, 0.581), Pt(-2.183, 6.372), Pt(-3.757, -9.618)),
			CubicFrom(Pt(-3.757, -9.618), Pt(5.313, -4.322), Pt(8.391, 5.459), Pt(-1.264, 1.726)),
			1, 5.901,
		},
		{
			CubicFrom(Pt(0.368, -0.1), Pt(1.903, 8.258), Pt(8.496, -4.286), Pt(-5.76, -6.992)),
			CubicFrom(Pt(-5.76, -6.992), Pt(9.051, 0.941), Pt(-5.201, -1.914), Pt(1.72, 1.781)),
			0.5, 7.26,
		},
	} {
		if _, ok := fillet(c.a, c.b, c.fits); !ok {
			t.Errorf("a radius of %v fits", c.fits)
		}
		if cut, ok := fillet(c.a, c.b, c.not); ok {
			t.Errorf("a radius of %v does not fit, but got %+v", c.not, cut)
		}
	}
}
