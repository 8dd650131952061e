package scene

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Spots are told in the blank frame and found where the panel has gone.
func TestSpot(t *testing.T) {
	in := folded(t, cube(20, "b a right", "c b right", "d c right", "e a top", "f a bottom"), "closed")
	p := pictured(in, Front())
	world := map[string]geom.Point3{ // the middle of each face of the closed cube
		"a": {X: 10, Y: 10}, "b": {X: 20, Y: 10, Z: -10}, "c": {X: 10, Y: 10, Z: -20},
		"d": {X: 0, Y: 10, Z: -10}, "e": {X: 10, Y: 20, Z: -10}, "f": {X: 10, Y: 0, Z: -10},
	}
	for _, s := range in.Blank.Regions {
		name := s.Panel.Name
		spot, hidden, ok := p.Spot(name, s.Panel.Flat.Apply(s.Panel.Outline.Bounds().Mid()))
		if !ok || spot.Dist(p.View.Project(world[name])) > 1e-9 {
			t.Errorf("%q: spot at %v", name, spot)
		}
		if want := name == "c" || name == "d" || name == "f"; hidden != want {
			t.Errorf("%q: hidden is %t", name, hidden)
		}
		// A place on a surface is not hidden by that surface.
		if got := p.Hidden(world[name]); got != hidden {
			t.Errorf("%q: the place is hidden: %t", name, got)
		}
	}
}

// On a line where panels meet the named one counts, whether or not the line is
// a hinge; off the board, the nearest.
func TestSpotWherePanelsMeet(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
b = panel("b", rect(30, 40), on = a.right.part(0, 40), fold = 90)
c = panel("c", rect(30, 40), on = a.right.part(40, 80), fold = 45)
piece("ends", a, board = board("card", caliper = 0.4))
`, "closed")
	p := pictured(in, Look(0, 0))
	slope := 60 + 20*math.Cos(geom.Degrees(45).Angle().Radians())
	for _, c := range []struct {
		panel string
		at    geom.Point
		x     float64
	}{
		{"b", geom.Pt(80, 40), 60}, {"c", geom.Pt(80, 40), slope}, {"a", geom.Pt(80, 10), slope}, {"", geom.Pt(-5, 40), -5},
	} {
		if spot, _, ok := p.Spot(c.panel, c.at); !ok || !near(spot.X, c.x, 1e-9) {
			t.Errorf("%v on %q shows at %v, want x %g", c.at, c.panel, spot, c.x)
		}
	}
}

// A panel without a place has no spot.
func TestSpotOfPanelLeftOut(t *testing.T) {
	in := folded(t, cube(20, "b a right"), "closed")
	in.Pose.Place[1].OK = false
	p := pictured(in, Front())
	if _, _, ok := p.Spot("", geom.Pt(30, 10)); ok || len(p.Faces) != 1 {
		t.Errorf("%d faces, spot found: %t", len(p.Faces), ok)
	}
	// Its hinge is a raw edge now.
	if h := kindLength(p, Hinge); h != 0 {
		t.Errorf("%g mm of hinge", h)
	}
}

// Of panels that coincide the inner one is hidden by the outer; a spot that names
// none is on the first made.
func TestSpotOnCoincidingPanels(t *testing.T) {
	in := stacked()
	p := pictured(in, Front())
	for i, want := range []bool{false, true, true} {
		if _, hidden, _ := p.Spot(in.Blank.Regions[i].Panel.Name, geom.Pt(3, 4)); hidden != want {
			t.Errorf("panel %d: hidden is %t", i, hidden)
		}
	}
	if _, hidden, ok := p.Spot("", geom.Pt(3, 4)); hidden || !ok {
		t.Errorf("without a name: hidden is %t, found %t", hidden, ok)
	}
}
