package scene

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// foremost is how far board stands before a place in the world, by the lines of
// sight of the depth buffer; negative when none does.
func foremost(in Input, v View, at geom.Point3) float64 {
	best := math.Inf(-1)
	p := v.Project(at)
	for i, sh := range in.Blank.Regions {
		place := in.Pose.Place[i]
		n, eye := place.Normal(), v.Right.Mul(p.X).Add(v.Up.Mul(p.Y))
		if facing := n.Dot(v.Toward); math.Abs(facing) > 1e-9 {
			depth := place.T.Sub(eye).Dot(n) / facing
			on := sh.Panel.Flat.Apply(place.Inverse().Apply(eye.Add(v.Toward.Mul(depth))).Plane())
			turns := 0
			for _, r := range sh.Rings {
				turns += geom.Winding(r, on)
			}
			if turns > 0 {
				best = math.Max(best, depth-v.depth(at))
			}
		}
	}
	return best
}

// drawn reports whether a line of the picture passes within tol of a point.
func drawn(p *Picture, at geom.Point, tol float64) bool {
	for _, l := range p.Lines {
		for i := 1; i < len(l.Points); i++ {
			if _, d := geom.LineFrom(l.Points[i-1], l.Points[i]).Nearest(at); d <= tol {
				return true
			}
		}
	}
	return false
}

// Law: a place on a rim is drawn just if no board stands before it. Places are
// taken at random on all rims; those near a rim, where rounding would decide, are
// left out.
func TestRimsShowWhereNothingStandsBefore(t *testing.T) {
	rng := rand.New(rand.NewSource(9))
	cases := []namedPose{{"strips", ringOfStrips()}, {"piercing", piercing()}}
	for n := 4; n < 30; n += 5 {
		cases = append(cases, namedPose{"tangle", tangle(rng, n)})
	}
	for _, c := range cases {
		v := Look(360*rng.Float64(), 160*rng.Float64()-80)
		p := pictured(c.in, v)
		seen, hidden := 0, 0
		for range 400 {
			i := rng.Intn(len(c.in.Blank.Regions))
			ring := c.in.Blank.Regions[i].Rings[0]
			place := c.in.Pose.Place[i]
			curve := ring[rng.Intn(len(ring))]
			at := place.Apply(curve.At(rng.Float64()).Space())
			// Its own board may stand before it by rounding.
			switch before := foremost(c.in, v, at); {
			case before > 0.5:
				hidden++
				if drawn(p, v.Project(at), 1e-4) && !meetsOther(c.in, v, at, i) {
					t.Errorf("%s: a rim %g mm behind board is drawn", c.name, before)
				}
			case before < 1e-6:
				seen++
				if !drawn(p, v.Project(at), 0.01) {
					t.Errorf("%s: a rim before all board is not drawn", c.name)
				}
			}
		}
		if seen < 20 || c.name == "tangle" && hidden < 20 {
			t.Errorf("%s: only %d places seen and %d hidden", c.name, seen, hidden)
		}
	}
}

// meetsOther reports whether a place shows on another panel's rim too.
func meetsOther(in Input, v View, at geom.Point3, own int) bool {
	for i, sh := range in.Blank.Regions {
		for _, c := range sh.Rings[0] {
			a, b := in.Pose.Place[i].Apply(c.P.Space()), in.Pose.Place[i].Apply(c.Q.Space())
			if _, d := geom.LineFrom(v.Project(a), v.Project(b)).Nearest(v.Project(at)); i != own && d < 0.01 {
				return true
			}
		}
	}
	return false
}

// kindLength adds up the lengths of one kind of line.
func kindLength(p *Picture, k LineKind) float64 {
	only := &Picture{}
	for _, l := range p.Lines {
		if l.Kind == k {
			only.Lines = append(only.Lines, l)
		}
	}
	return lineLength(only)
}

// Two panels folded square, seen from the front: the hinge is drawn as a hinge,
// once, and all the rest as rims.
func TestHingeIsNoRim(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right, fold = 90)
piece("corner", a, board = board("card", caliper = 0.4))
`, "closed")
	p := pictured(in, Look(45, 0))
	c := math.Cos(math.Pi / 4)
	if h := kindLength(p, Hinge); !near(h, 80, 1e-6) {
		t.Errorf("%g mm of hinge, want 80", h)
	}
	if r := kindLength(p, Rim); !near(r, 2*80+2*60*c+2*40*c, 1e-6) {
		t.Errorf("%g mm of rim", r)
	}
}

// A hinge that neither folds nor has a line is not drawn at all; one that has a
// score is drawn flat too.
func TestFlatHinges(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right, fold = 0)
c = panel("c", rect(40, 80), on = b.right, fold = 90)
piece("strip", a, board = board("card", caliper = 0.4))
pose("open", at = 0)
`, "open")
	p := pictured(in, Look(0, 0))
	if h := kindLength(p, Hinge); !near(h, 80, 1e-6) {
		t.Errorf("%g mm of hinge, want the one score", h)
	}
	if r := kindLength(p, Rim); !near(r, 2*(140+80), 1e-6) {
		t.Errorf("%g mm of rim, want the rectangle's", r)
	}
}

// A wall's edge set against the back of another panel is not seen from the
// front; seen from the back it is.
func TestEdgeAgainstABack(t *testing.T) {
	wall := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Radians(math.Pi/2))
	wall.T = geom.Point3{Z: -15}
	in := loose([]blank.Ring{rectangle(100, 100), rectangle(30, 60)}, []geom.RigidTransform{geom.Identity3(), wall})
	front, back := pictured(in, Front()), pictured(in, Behind())
	if at := (geom.Point3{Y: 5}); drawn(front, front.View.Project(at), 0.01) || !drawn(back, back.View.Project(at), 0.01) {
		t.Error("the edge shows through the panel it stands against, or not from behind")
	}
}

// A curved rim comes as one smooth run: in a square view all its points lie on
// its circle.
func TestCurvedRim(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
a.cut(circle(20).shift(30, 40))
piece("card", a, board = board("card", caliper = 0.4))
`, "closed")
	p := pictured(in, Look(0, 0))
	round := 0
	for _, l := range p.Lines {
		if d := l.Points[0].Dist(geom.Pt(30, 40)); !near(d, 10, 1e-9) {
			continue
		}
		round++
		if len(l.Points) < 40 || l.Points[0].Dist(l.end()) > 1e-9 {
			t.Errorf("the window's rim has %d points", len(l.Points))
		}
		for _, q := range l.Points {
			if d := q.Dist(geom.Pt(30, 40)); !near(d, 10, 1e-9) {
				t.Errorf("%v lies %g from the middle", q, d)
			}
		}
	}
	if round != 1 {
		t.Errorf("%d runs round the window", round)
	}
}

// Law: no line is a mere dot. Rims that all but hide each other, as those of
// boards side by side do, would leave many.
func TestNoLineIsADot(t *testing.T) {
	for _, c := range append(standing(t), namedPose{"pressed-tube", pressed(t)}) {
		for _, v := range []View{Front(), Behind()} {
			for _, l := range pictured(c.in, v).Lines {
				length := 0.0
				for i, p := range l.Points[1:] {
					length += p.Dist(l.Points[i])
				}
				if length < minLength {
					t.Errorf("%s: a line of %g mm at %v", c.name, length, l.Points[0])
				}
			}
		}
	}
}

// What is worked on a panel is seen where the panel is; print only from outside.
func TestWorkIsSeen(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
a.cut(path(10, 10).line(30, 10))
a.perforate(path(10, 20).line(40, 20))
a.score(path(10, 30).line(50, 30))
a.draw(path(10, 40).line(55, 40))
b = panel("b", rect(55, 60), on = a.right, fold = 180)
piece("p", a, board = board("card", caliper = 0.4))
pose("flat fold", {})
`, "flat fold")
	facing := View{Right: geom.Point3{X: 1}, Up: geom.Point3{Y: 1}, Toward: geom.Point3{Z: 1}}
	p := pictured(in, facing)
	for k, want := range map[LineKind]float64{Rim: 20 + 280 - 60, Perforated: 30, Hinge: 40 + 60, Drawn: 45} {
		if got := kindLength(p, k); !near(got, want, 1e-6) {
			t.Errorf("from outside: %g mm of kind %d, want %g", got, k, want)
		}
	}
	back := View{Right: geom.Point3{X: -1}, Up: geom.Point3{Y: 1}, Toward: geom.Point3{Z: -1}}
	for _, k := range []LineKind{Perforated, Drawn} {
		if got := kindLength(pictured(in, back), k); got != 0 {
			t.Errorf("%g mm are seen through the panel behind", got)
		}
	}
	for i := range in.Pose.Angles {
		in.Pose.Place[i+1].OK = false // the panel behind is taken away
	}
	p = pictured(in, back)
	for k, want := range map[LineKind]float64{Perforated: 30, Drawn: 0} {
		if got := kindLength(p, k); !near(got, want, 1e-6) {
			t.Errorf("from inside: %g mm of kind %d, want %g", got, k, want)
		}
	}
}

// crossed is two squares that cross along the y axis at a square angle, with a
// hole in the first.
func crossed() Input {
	first := rectangle(60, 60)
	in := loose([]blank.Ring{first, rectangle(40, 40)}, []geom.RigidTransform{
		geom.Identity3(), geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Radians(math.Pi/2)),
	})
	hole := blank.Ring{}
	for _, c := range rectangle(10, 10) {
		hole = append(blank.Ring{c.Reverse()}, hole...)
	}
	in.Blank.Regions[0].Rings = append(in.Blank.Regions[0].Rings, hole)
	return in
}

// The crossing runs where both have board: 40 mm less the 10 mm of the hole,
// all of it before everything else.
func TestCrossingLine(t *testing.T) {
	in := crossed()
	v := Look(40, 0)
	if n := kindLength(pictured(in, v), Crossing); n != 0 {
		t.Errorf("%g mm of crossing without being asked", n)
	}
	in.Piercing = [][2]int{{0, 1}}
	p := pictured(in, v)
	if n := kindLength(p, Crossing); !near(n, 30, 1e-6) {
		t.Errorf("%g mm of crossing, want 30", n)
	}
	for _, l := range p.Lines {
		for _, q := range l.Points {
			if l.Kind == Crossing && math.Abs(q.X) > 1e-9 {
				t.Errorf("the crossing runs through %v", q)
			}
		}
	}
}

// A board before the crossing hides its part of it.
func TestHiddenCrossing(t *testing.T) {
	in := crossed()
	in.Piercing = [][2]int{{0, 1}}
	before := geom.Identity3()
	before.T = geom.Point3{Y: 10, Z: 50}
	more := loose([]blank.Ring{rectangle(80, 10)}, []geom.RigidTransform{before})
	in.Blank.Regions = append(in.Blank.Regions, more.Blank.Regions...)
	in.Pose.Place = append(in.Pose.Place, more.Pose.Place...)
	if n := kindLength(pictured(in, Look(10, 0)), Crossing); !near(n, 20, 1e-6) {
		t.Errorf("%g mm of crossing show, want 20", n)
	}
}

// Panels that only touch, or lie flush, have no crossing to draw.
func TestNoCrossing(t *testing.T) {
	beside := geom.Identity3()
	beside.T = geom.Point3{X: 20}
	wall := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Radians(math.Pi/2))
	wall.T = geom.Point3{Z: -20}
	for name, m := range map[string]geom.RigidTransform{"flush": beside, "touching": wall} {
		in := loose([]blank.Ring{rectangle(60, 60), rectangle(40, 40)}, []geom.RigidTransform{geom.Identity3(), m})
		in.Piercing = [][2]int{{0, 1}}
		if n := kindLength(pictured(in, Look(40, 10)), Crossing); n != 0 {
			t.Errorf("%s: %g mm of crossing", name, n)
		}
	}
}

// The corners of a tray with webs are scored from either side.
func TestCreasesKeepTheirKind(t *testing.T) {
	seen := map[blank.Kind]int{}
	for _, l := range pictured(folded(t, example(t, "honey-tray.star"), "closed"), Behind()).Lines {
		if (l.Kind == Hinge) != (l.Work != "") {
			t.Errorf("a line of kind %d is worked as %q", l.Kind, l.Work)
		}
		seen[l.Work]++
	}
	if seen[blank.ScoreLine] == 0 || seen[blank.BackScoreLine] == 0 {
		t.Errorf("seen: %v", seen)
	}
}
