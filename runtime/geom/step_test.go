package geom

import (
	"math"
	"slices"
	"testing"
)

// steps chains path steps and stops at the first error.
type steps struct {
	p   Path
	err error
}

func start(x, y float64) *steps {
	p, err := StartPath(x, y)
	return &steps{p, err}
}

func (s *steps) then(step func(Path) (Path, error)) *steps {
	if s.err == nil {
		s.p, s.err = step(s.p)
	}
	return s
}

func (s *steps) line(x, y float64, name string) *steps {
	return s.then(func(p Path) (Path, error) { return p.Line(x, y, name) })
}

func (s *steps) close(name string) (Path, error) {
	s.then(func(p Path) (Path, error) { return p.Close(name) })
	return s.p, s.err
}

// Every sort of step runs on from where the path ends; names count by step.
func TestSteps(t *testing.T) {
	p, err := start(0, 0).
		line(40, 0, "base").
		then(func(p Path) (Path, error) { return p.By(0, 10, "") }).
		then(func(p Path) (Path, error) { return p.ArcRadius(30, 20, 10, "shoulder") }).
		then(func(p Path) (Path, error) { return p.ArcThrough(20, 20, Pt(25, 18), "") }).
		then(func(p Path) (Path, error) { return p.ArcSweep(10, 20, Degrees(60).Angle(), "") }).
		then(func(p Path) (Path, error) { return p.Curve(Pt(5, 20), Pt(0, 15), Pt(0, 10), "") }).
		close("")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := p.Names(), []string{"base", "e1", "shoulder", "e3", "e4", "e5", "e6"}; !slices.Equal(got, want) {
		t.Errorf("names %v, want %v", got, want)
	}
	kinds := []Kind{Line, Line, Arc, Arc, Arc, Cubic, Line}
	for i, e := range p.Edges {
		if e.Kind != kinds[i] {
			t.Errorf("edge %q is a %v, want a %v", e.Name, e.Kind, kinds[i])
		}
	}
	if !joined(p) || p.Area() <= 0 {
		t.Errorf("%v is no outline", p)
	}
	if c := p.Edges[2]; c.C.Dist(Pt(30, 10)) > 1e-12 || !near(c.Sweep.Radians(), math.Pi/2, 1e-12) {
		t.Errorf("the shoulder turns %g about %v", c.Sweep.Radians(), c.C)
	}
}

// A step leaves its receiver alone, so a path can be continued two ways.
func TestStepsDoNotShare(t *testing.T) {
	stem := start(0, 0).line(10, 0, "a").line(10, 10, "b").p
	left, _ := stem.Line(0, 10, "left")
	right, _ := stem.Line(20, 10, "right")
	if left.Index("left") != 2 || right.Index("right") != 2 || len(stem.Edges) != 2 {
		t.Errorf("stem %v, left %v, right %v", stem, left, right)
	}
}

// A clockwise path comes out counter-clockwise, its edges with their names.
func TestCloseTurnsRound(t *testing.T) {
	p, err := start(0, 0).line(0, 10, "left").line(20, 10, "top").line(20, 0, "right").close("bottom")
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(p.Names(), []string{"left", "bottom", "right", "top"}) || !near(p.Area(), 200, 1e-12) {
		t.Errorf("got %v", p)
	}
}

// A path that comes home within SnapTolerance is closed where it is, whatever its last
// edge, and that edge then ends exactly on the start.
func TestCloseAtHome(t *testing.T) {
	home := Pt(0.0006, -0.0003)
	for _, last := range []func(Path) (Path, error){
		func(p Path) (Path, error) { return p.Line(home.X, home.Y, "") },
		func(p Path) (Path, error) { return p.ArcRadius(home.X, home.Y, 12, "") },
		func(p Path) (Path, error) { return p.Curve(Pt(8, 12), Pt(2, 9), home, "") },
	} {
		p, err := start(0, 0).line(10, 0, "").line(10, 10, "").then(last).close("")
		if err != nil {
			t.Fatal(err)
		}
		e := p.Edges[2]
		if len(p.Edges) != 3 || e.Q != (Point{}) || e.At(1-1e-9).Dist(e.Q) > 1e-6 {
			t.Errorf("got %v", p)
		}
	}
}

func TestStepErrors(t *testing.T) {
	for _, c := range []struct {
		want string
		s    *steps
	}{
		{`two edges are named "a"`, start(0, 0).line(10, 0, "a").line(10, 10, "a")},
		{`two edges are named "e1"`, start(0, 0).line(10, 0, "e1").line(10, 10, "")},
		{`edge "e1" is 0 mm long, and sizes begin at 0.001 mm`, start(0, 0).line(10, 0, "").line(10, 0, "")},
		{`edge "e0" is 1e-05 mm long, and sizes begin at 0.001 mm`, start(0, 0).line(1e-5, 0, "")},
		{`a coordinate of the start of the path is NaN, not an ordinary number`, start(math.NaN(), 0)},
		{`a coordinate of the end of edge "lid" is +Inf, not an ordinary number`, start(0, 0).line(math.Inf(1), 0, "lid")},
		{`the end of edge "e0" lies at (100001, 0) mm, and coordinates reach to 100000 mm`, start(0, 0).line(100001, 0, "")},
		{`edge "e0": radius 4 is too small for a chord of 10; at least 5 reaches`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcRadius(10, 0, 4, "") })},
		{`edge "e0": the radius is NaN, not an ordinary number`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcRadius(10, 0, math.NaN(), "") })},
		{`edge "e0": the three points of the arc lie on one line`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcThrough(10, 0, Pt(5, 0), "") })},
		{`edge "e0": the radius is 125000 mm, and sizes lie between 0.001 and 100000 mm`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcThrough(10, 0, Pt(5, 0.0001), "") })},
		{`edge "e0": a coordinate of the point to pass through is NaN, not an ordinary number`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcThrough(10, 0, Pt(5, math.NaN()), "") })},
		{`edge "e0": a sweep of 400 degrees is not between 0 and 360`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcSweep(10, 0, Degrees(400).Angle(), "") })},
		{`edge "e0": the sweep is +Inf, not an ordinary number`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcSweep(10, 0, Radians(math.Inf(1)), "") })},
		{`edge "e0": the arc ends where it starts`,
			start(0, 0).then(func(p Path) (Path, error) { return p.ArcSweep(0, 0, Radians(1), "") })},
		{`a coordinate of control point 2 of edge "e0" is NaN, not an ordinary number`,
			start(0, 0).then(func(p Path) (Path, error) { return p.Curve(Pt(1, 1), Pt(math.NaN(), 1), Pt(2, 0), "") })},
	} {
		wantError(t, c.s.err, c.want)
	}
}

func TestCloseErrors(t *testing.T) {
	_, err := start(0, 0).close("")
	wantError(t, err, "the path has no edges to close")
	_, err = start(0, 0).line(10, 0, "").line(10, 10, "").line(0, 0, "").close("home")
	wantError(t, err, `the path is back at its start, so there is no closing line to name "home"`)
	p, err := start(0, 0).line(10, 0, "").line(10, 10, "").close("home")
	if err != nil {
		t.Fatal(err)
	}
	_, err = p.Close("")
	wantError(t, err, "the path is closed already")
	_, err = p.Line(1, 1, "more")
	wantError(t, err, `the path is closed and takes no edge "more"`)
	_, err = start(0, 0).line(10, 0, "").close("back")
	wantError(t, err, `edges "e0" and "back" run along each other from (0, 0) to (10, 0)`)
}
