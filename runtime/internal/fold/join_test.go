package fold

import (
	"fmt"
	"math"
	"testing"
)

// Four-panel tube of widths p, q, p, q: folds (θ, 180−θ, θ, 180−θ) through the
// whole motion (computed from first principles), found from one given fold by
// the glued seam alone.
func TestTubeOfFourPanels(t *testing.T) {
	for _, theta := range []float64{1, 30, 60, 90, 135, 179} {
		f := foldScript(t, fmt.Sprintf(`
root = panel("root", rect(60, 90))
right = panel("right", rect(35, 90), on = root.right, fold = %g)
back = panel("back", rect(60, 90), on = right.right, fold = free("in"))
left = panel("left", rect(35, 90), on = back.right, fold = free("in"))
tab("seam", on = root.left, depth = 12, to = left.right)
`, theta))
		f.sound("closed")
		f.wants("closed", map[string]float64{"back": 180 - theta, "left": theta, "seam": 180 - theta})
		if gap := f.at("closed", "root", 0, 0).Dist(f.at("closed", "left", 35, 0)); gap > 1e-7 {
			t.Errorf("θ = %g: the seam gapes by %g mm", theta, gap)
		}
	}
}

// The tube lies flat when its widths split into two adjacent pairs of equal sum
// (computed from first principles): 60 + 35 = 35 + 60.
func TestTubePressedFlat(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 90))
right = panel("right", rect(35, 90), on = root.right)
back = panel("back", rect(60, 90), on = right.right)
left = panel("left", rect(35, 90), on = back.right)
tab("seam", on = root.left, depth = 12, to = left.right)
pose("one way", {"right": 0, "back": 180, "left": 0})
pose("other way", {"right": 180, "back": 0, "left": 180})
`)
	f.sound("one way")
	f.wants("one way", map[string]float64{"seam": 180})
	f.wants("other way", map[string]float64{"seam": 0})
	for _, pose := range []string{"one way", "other way"} {
		for _, panel := range []string{"right", "back", "left", "seam"} {
			if z := f.at(pose, panel, 5, 5).Z; math.Abs(z) > 1e-9 {
				t.Errorf("%s: %q stands %g off the plane", pose, panel, z)
			}
		}
	}
}

// So it is when only one fold is given and the seam's finds the others with its
// own: where all lies in one plane, a seam folded right over and one laid out
// flat satisfy its edge alike, and only one of the two lies on its wall.
func TestTubePressedFlatByOneFold(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 90))
right = panel("right", rect(35, 90), on = root.right)
back = panel("back", rect(60, 90), on = right.right, fold = free("in"))
left = panel("left", rect(35, 90), on = back.right, fold = free("in"))
tab("seam", on = left.right, depth = 12, to = root.left)
pose("one way", {"right": 0})
pose("other way", {"right": 180})
`)
	f.sound("one way")
	f.sound("other way")
	f.wants("one way", map[string]float64{"back": 180, "left": 0, "seam": 180})
	f.wants("other way", map[string]float64{"back": 0, "left": 180, "seam": 0})
}

// A tab without a fold turns to lie on its target, whatever the angle between:
// two walls turned by the same angle leave it the rest of a half or whole turn,
// on the inside.
func TestTabsFindTheirAngle(t *testing.T) {
	for wall, want := range map[float64]float64{60: 60, 120: 120, 30: 120, 45: 90, 75: 30} {
		f := foldScript(t, fmt.Sprintf(`
root = panel("root", rect(60, 60))
a = panel("a", rect(60, 60), on = root.right, fold = %[1]g)
b = panel("b", rect(60, 60), on = a.right, fold = %[1]g)
tab("tab", on = b.right, depth = 10, to = root)
`, wall))
		f.sound("closed")
		f.wants("closed", map[string]float64{"tab": want})
	}
}

// To the wall next door, round a corner.
func TestTabRoundACorner(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
wall = panel("wall", rect(40, 60), on = root.right)
lid = panel("lid", rect(60, 40), on = root.top)
tab("tab", on = lid.right, depth = 10, to = wall)
`)
	f.sound("closed")
	f.wants("closed", map[string]float64{"tab": 90})
	if x := f.at("closed", "tab", 20, 5).X; math.Abs(x-60) > 1e-9 {
		t.Errorf("the tab lies at x = %g, the wall at 60", x)
	}
}

// A flap on the back of its target: a tab may have to fold by half a turn.
func TestTabFoldedRightOver(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
back = panel("back", rect(60, 60), on = root.right, fold = 180)
tab("tab", on = root.top, depth = 10, to = back)
`)
	f.sound("closed")
	f.wants("closed", map[string]float64{"tab": 180})
}

// Tabs glued to tabs wait for one another; in a ring none can begin.
func TestTabsOnTabs(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
wall = panel("wall", rect(60, 30), on = root.top)
side = panel("side", rect(30, 60), on = root.right)
first = tab("first", on = wall.right, depth = 10, to = side)
tab("second", on = side.bottom, depth = 10, to = first)
`)
	f.sound("closed")
	f.wants("closed", map[string]float64{"first": 90, "second": 180})
	// Made in the other order all the same.
	f = foldScript(t, `
root = panel("root", rect(60, 60))
wall = panel("wall", rect(60, 30), on = root.top)
side = panel("side", rect(30, 60), on = root.right)
second = flap("second", on = side.bottom, depth = 10, fold = free("in"))
first = tab("first", on = wall.right, depth = 10, to = side)
glue(second, first)
`)
	f.sound("closed")
	f.wants("closed", map[string]float64{"first": 90, "second": 180})
}

// Two flaps glued to each other on a strip that is folded fully: neither can
// wait for the other.
func TestFlapsGluedToEachOther(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
a = flap("a", on = root.left, depth = 40, fold = free("in"))
b = flap("b", on = root.right, depth = 40, fold = free("in"))
glue(a, b)
glue(b, a)
`)
	f.closes("closed")
	if fs := f.poses["closed"].Faults; len(fs) > 0 && fs[0].Kind != LoopLoose {
		t.Errorf("%+v", fs[0])
	}
}

// A pyramid from meets alone: four triangles on a square lean until their edges
// meet, at the angle whose cosine is that of the apothem over the slant.
func TestPyramidOfMeets(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
sides = []
for edge in [root.bottom, root.right, root.top, root.left]:
    sides.append(panel(edge.name + " side", polygon([(0, 0), (60, 0), (30, 50)], edges = ["base", "right", "left"]), on = edge, by = "base", fold = free("in")))
for i in range(4):
    meet(sides[i].edge("left"), sides[(i + 1) % 4].edge("right"))
`)
	f.sound("closed")
	want := 180 - math.Acos(30.0/50)*180/math.Pi
	f.wants("closed", map[string]float64{"bottom side": want, "right side": want, "top side": want, "left side": want})
	apex := f.at("closed", "bottom side", 30, 50)
	if d := math.Hypot(apex.X-30, apex.Y-30); d > 1e-7 || math.Abs(apex.Z+40) > 1e-7 {
		t.Errorf("the apex is at %v, want (30, 30, -40)", apex)
	}
}

// A lid and its tuck, both free: the tuck slips in behind the front.
func TestLidFoundByItsTuck(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 40))
back = panel("back", rect(60, 30), on = root.top)
front = panel("front", rect(60, 30), on = root.bottom)
lid = flap("lid", on = back.top, depth = 40, fold = free("in"))
tongue = flap("tongue", on = lid.tip, depth = 12)
tuck(tongue, into = front)
pose("open", {"lid": 10})
`)
	f.sound("closed")
	f.wants("closed", map[string]float64{"lid": 90})
	f.sound("open")
}

// Where glue need not hold, a tab keeps its closed fold, scaled like the given
// ones.
func TestUngluedPoses(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
wall = panel("wall", rect(60, 30), on = root.top)
side = panel("side", rect(30, 60), on = root.right)
tab("seam", on = wall.right, depth = 10, to = side)
pose("loose", {"side": 0}, glued = False)
pose("half", at = 0.5, glued = False)
`)
	f.wants("closed", map[string]float64{"seam": 90})
	f.wants("loose", map[string]float64{"seam": 90, "side": 0})
	f.wants("half", map[string]float64{"seam": 45, "wall": 45})
}

// Free folds that no join or loop decides are told about once, in "closed".
func TestUndecidedFolds(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
flap("lid", on = root.top, depth = 20, fold = free("in"))
pose("open", at = 0.5)
pose("given", {"lid": 30})
`)
	if fault := f.fault("closed", LoopLoose); fault.Missing != 1 || len(fault.Round) != 0 {
		t.Errorf("%+v", fault)
	}
	f.sound("open")
	f.wants("open", map[string]float64{"lid": math.NaN()})
	f.wants("given", map[string]float64{"lid": 30})
}

// What lies beyond curved hinges and bent panels stays out of all poses but the
// flat one.
func TestLeftOut(t *testing.T) {
	f := foldScript(t, `
root = panel("root", path(0, 0).line(60, 0).line(60, 90).arc(0, 90, radius = 80, name = "top").line(0, 0, name = "side").close())
end = panel("end", path(0, 0).arc(60, 0, radius = -80, name = "base").arc(0, 0, radius = 40, name = "rim").close(), on = root.top)
wing = panel("wing", rect(20, 90), on = root.side, by = "right")
rolled = panel("rolled", rect(20, 90), on = wing.left, bent = True)
beyond = panel("beyond", rect(20, 90), on = rolled.left)
`)
	out := map[string]bool{}
	for _, l := range f.left {
		out[l.Panel.Name] = true
		if (l.Hinge != nil) != (l.Panel.Name == "end") {
			t.Errorf("%q is left out for the wrong reason", l.Panel.Name)
		}
	}
	for i, p := range f.piece.Panels {
		want := p.Name == "end" || p.Name == "rolled" || p.Name == "beyond"
		if out[p.Name] != want || f.poses["closed"].Place[i].OK == want {
			t.Errorf("%q: left out %v, placed %v", p.Name, out[p.Name], f.poses["closed"].Place[i].OK)
		}
		if !f.poses["flat"].Place[i].OK {
			t.Errorf("%q has no place in the flat", p.Name)
		}
	}
	f.sound("closed")
}

// A bent root leaves nothing to show but the flat.
func TestBentRoot(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(200, 60), bent = True)
flap("rim", on = root.top, depth = 10)
`)
	for i := range f.piece.Panels {
		if f.poses["closed"].Place[i].OK || !f.poses["flat"].Place[i].OK {
			t.Errorf("panel %d: %v", i, f.poses["closed"].Place[i].OK)
		}
	}
}
