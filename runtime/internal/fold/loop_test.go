package fold

import (
	"fmt"
	"math"
	"testing"
)

// corner is a tray's corner with a web of two triangles that meet along the
// diagonal from the base's corner. The folds are given by the test.
const corner = `
root = panel("root", rect(60, 60))
front = panel("front", rect(60, 20), on = root.bottom, fold = %s)
side = panel("side", rect(20, 60), on = root.right, fold = %s)
near = panel("near", polygon([(0, 0), (20, -20), (20, 0)]), on = side.bottom, by = "e2", fold = %s)
far = panel("far", polygon([(0, 0), (0, -20), (20, -20)]), on = front.right, by = "e0", fold = %s)
hinge(near.e0, far.e2, fold = %s, name = "web")
`

// cornerOf folds the corner with its five folds as they are written in a script.
func cornerOf(t *testing.T, front, side, near, far, web string) *folded {
	return foldScript(t, fmt.Sprintf(corner, front, side, near, far, web))
}

const (
	in  = `free("in")`
	out = `free("out")`
)

// The web of a corner, both walls upright: it stands out along the diagonal,
// its halves on one another, 45 degrees from either wall.
func TestWebOfACorner(t *testing.T) {
	f := cornerOf(t, "90", "90", out, out, in)
	f.sound("closed")
	f.closes("closed")
	f.wants("closed", map[string]float64{"near": -45, "far": -45, "web": 180})
	if tip := f.at("closed", "near", 20, -20); tip.Dist(f.at("closed", "far", 20, -20)) > 1e-9 {
		t.Errorf("the tips of the web are apart: %v", tip)
	}
}

// Asked to the other sides it turns inward, and to sides it cannot go it says
// which one would have to change.
func TestSidesOfAWeb(t *testing.T) {
	for _, near := range []string{in, out} {
		for _, far := range []string{in, out} {
			for _, web := range []string{in, out} {
				f := cornerOf(t, "90", "90", near, far, web)
				switch {
				case near == out && far == out && web == in:
					f.wants("closed", map[string]float64{"near": -45, "far": -45})
				case near == in && far == in && web == out:
					f.wants("closed", map[string]float64{"near": 135, "far": 135, "web": -180})
				default:
					fault := f.fault("closed", LoopUnsolved)
					if len(fault.Other) != 1 || fault.Several {
						t.Errorf("%s %s %s: %d to turn, several %v", near, far, web, len(fault.Other), fault.Several)
					}
					f.wants("closed", map[string]float64{"near": math.NaN(), "far": math.NaN(), "web": math.NaN()})
				}
			}
		}
	}
}

// Half-way up the web is on its way: a spherical triangle of sides 45, 45 and
// the angle between the walls' upright edges gives its fold.
func TestWebHalfWay(t *testing.T) {
	for _, deg := range []float64{1, 10, 30, 60, 80, 89} {
		f := cornerOf(t, fmt.Sprint(deg), fmt.Sprint(deg), out, out, in)
		f.sound("closed")
		f.closes("closed")
		// The upright edges point along (0, -c, -s) and (c, 0, -s) from the
		// corner.
		s := math.Sin(deg * math.Pi / 180)
		between := math.Acos(s * s)
		apex := 2 * math.Asin(math.Sin(between/2)/math.Sin(math.Pi/4))
		f.wants("closed", map[string]float64{"web": 180 - apex*180/math.Pi})
		if near, far := f.angle("closed", "near"), f.angle("closed", "far"); math.Abs(near-far) > 1e-6 {
			t.Errorf("walls at %g: the halves fold %g and %g", deg, near, far)
		}
	}
}

// A web laid flat against the side takes one more angle than it needs; the
// others follow, to whichever side they are asked.
func TestWebAgainstTheSide(t *testing.T) {
	for _, near := range []string{"-180", `free("out", near = -180)`} {
		f := cornerOf(t, "90", "90", near, in, in)
		f.sound("closed")
		f.closes("closed")
		f.wants("closed", map[string]float64{"near": -180, "far": 90, "web": 180})
	}
}

// One angle more than needed and wrong: the loop stays open, and that is said
// with a gap.
func TestOvergivenLoopStaysOpen(t *testing.T) {
	f := cornerOf(t, "90", "90", "-45", "-30", in)
	if fault := f.fault("closed", LoopOpen); fault.Gap < 1 || len(fault.Round) != 5 {
		t.Errorf("gap %g round %d panels", fault.Gap, len(fault.Round))
	}
	f.wants("closed", map[string]float64{"web": math.NaN()})
}

// An angle more than needed and right but for its last digits is held closed.
func TestOvergivenLoopRounded(t *testing.T) {
	f := cornerOf(t, "60", "60", fmt.Sprintf("%.3f", cornerOf(t, "60", "60", out, out, in).angle("closed", "near")), out, in)
	f.sound("closed")
	if gap := widestHinge(f.piece, f.poses["closed"]); gap > OpenLimit {
		t.Errorf("open by %g mm", gap)
	}
}

// Each missing given fold is counted.
func TestLooseLoops(t *testing.T) {
	for missing, folds := range [][5]string{1: {"90", in, out, out, in}, 2: {in, in, out, out, in}} {
		if missing == 0 {
			continue
		}
		f := cornerOf(t, folds[0], folds[1], folds[2], folds[3], folds[4])
		if got := f.fault("closed", LoopLoose).Missing; got != missing {
			t.Errorf("%v: %d missing, want %d", folds, got, missing)
		}
	}
}

// A pose that gives the free fold itself is not loose, and one that lays the
// walls flat lays the web flat too.
func TestPosesOfAWeb(t *testing.T) {
	f := foldScript(t, fmt.Sprintf(corner, "90", "90", out, out, in)+`
pose("down", {"front": 0, "side": 0})
pose("one down", {"front": 0})
pose("half", at = 0.5)
pose("by hand", {"web": 120, "side": 90})
`)
	f.wants("down", map[string]float64{"near": 0, "far": 0, "web": 0})
	for _, pose := range []string{"down", "half"} {
		f.sound(pose)
		f.closes(pose)
	}
	// With one wall down its crease and the other wall's lie in line, and the
	// half sheet between can only turn as a whole: far would go in, not out.
	f.fault("one down", LoopUnsolved)
	half := cornerOf(t, "45", "45", out, out, in)
	f.wants("half", map[string]float64{"web": half.angle("closed", "web"), "front": 45, "near": half.angle("closed", "near")})
	// The walls at 90 ask for a web of 180: 120 is wrong and said to be.
	if f.fault("by hand", LoopOpen).Gap < OpenLimit {
		t.Error("a wrong given fold passes")
	}
}

// A free fold named in folds becomes given, for all hinges that share it.
func TestSharedFreeBecomesGiven(t *testing.T) {
	f := foldScript(t, `
lean = free("in")
root = panel("root", rect(60, 60))
a = panel("a", rect(60, 20), on = root.top, fold = lean)
b = panel("b", rect(60, 20), on = root.bottom, fold = lean)
c = panel("c", rect(60, 60), on = a.top, fold = 90)
meet(c.top, b.bottom)
pose("flatter", {"b": 30})
`)
	f.sound("closed")
	f.wants("closed", map[string]float64{"a": 90, "b": 90})
	f.wants("flatter", map[string]float64{"a": 30, "b": 30, "c": 90})
}

// A sheet folded in half and in half again passes through no closed states on
// the way; its end is found all the same, at whole half turns.
func TestQuarterFoldedCard(t *testing.T) {
	const card = `
root = panel("root", rect(100, 80))
b = panel("b", rect(100, 80), on = root.right, fold = 180)
c = panel("c", rect(100, 80), on = b.top, fold = %s)
d = panel("d", rect(100, 80), on = root.top, fold = %s)
hinge(c.left, d.right, fold = free("in"), name = "last")
`
	f := foldScript(t, fmt.Sprintf(card, "-180", "180"))
	f.sound("closed")
	f.closes("closed")
	if got := f.angle("closed", "last"); got != 180 {
		t.Errorf("the last fold is %v", got)
	}
	// With the second crease free it may stop anywhere: that is said, unless
	// the script says where to look.
	if fault := foldScript(t, fmt.Sprintf(card, out, in)).fault("closed", LoopUnsolved); !fault.Several {
		t.Error("a fork is not called one")
	}
	f = foldScript(t, fmt.Sprintf(card, out, `free("in", near = 90)`))
	f.sound("closed")
	f.closes("closed")
	f.wants("closed", map[string]float64{"c": -90, "d": 90, "last": 180})
}

// One given fold 10 degrees off is found out, with the angle that would close
// the loop; two that are off are only told.
func TestCureOfAnOpenLoop(t *testing.T) {
	const strip = `
root = panel("root", rect(60, 60))
b = panel("b", rect(60, 60), on = root.right, fold = %d)
c = panel("c", rect(60, 60), on = b.top, fold = %d)
d = panel("d", rect(60, 60), on = root.top, fold = 0)
hinge(c.left, d.right, fold = %d, name = "last")
`
	fault := foldScript(t, fmt.Sprintf(strip, 120, 0, 110)).fault("closed", LoopOpen)
	if len(fault.Cures) == 0 || fault.Cures[0].Hinge.Name != "last" || float64((fault.Cures[0].Degrees-120).Abs()) > 1e-6 {
		t.Errorf("cure %v", fault)
	}
	// The gap is that of the far corner, 60 mm out, turned by 10 degrees.
	if want := 2 * 60 * math.Sin(5*math.Pi/180); math.Abs(fault.Gap-want) > 1e-9 {
		t.Errorf("gap %.9f, want %.9f", fault.Gap, want)
	}
	if fault := foldScript(t, fmt.Sprintf(strip, 120, 30, 110)).fault("closed", LoopOpen); fault.Cures != nil {
		t.Errorf("a cure that cannot be: %v", fault.Cures[0].Hinge.Name)
	}
}

// Bent along one line of a cross, a sheet can fold along the other only right
// over; a crease asked to fold there, that would have to stay flat, is named, and
// the loop is not called open.
func TestCreaseThatStaysFlat(t *testing.T) {
	const cross = `
root = panel("root", rect(60, 60))
b = panel("b", rect(60, 60), on = root.right, fold = 90)
d = panel("d", rect(60, 60), on = root.top, fold = 0)
c = panel("c", rect(60, 60), on = d.right, fold = free("in"))
hinge(b.top, c.bottom, fold = %s, name = "last")
`
	fault := foldScript(t, fmt.Sprintf(cross, `free("in")`)).fault("closed", LoopUnsolved)
	if len(fault.Unmoved) != 1 || fault.Unmoved[0].Name != "last" || fault.Gap > OpenLimit {
		t.Errorf("%+v", fault)
	}
	f := foldScript(t, fmt.Sprintf(cross, "0"))
	f.sound("closed")
	f.wants("closed", map[string]float64{"c": 90})
}

// Where the two edges part, the gap is what a rule laid across their ends shows:
// one edge, 60 mm long, has turned by 80 degrees, and the other has stayed.
func TestGapOfPartedEdges(t *testing.T) {
	fault := foldScript(t, `
root = panel("root", rect(60, 60))
b = panel("b", rect(60, 60), on = root.right, fold = 80)
d = panel("d", rect(60, 60), on = root.top, fold = 90)
c = panel("c", rect(60, 60), on = d.right, fold = 0)
hinge(b.top, c.bottom, fold = 0)
`).fault("closed", LoopOpen)
	if want := 2 * 60 * math.Sin(40*math.Pi/180); math.Abs(fault.Gap-want) > 1e-9 {
		t.Errorf("gap %.9f, want %.9f", fault.Gap, want)
	}
}

// A loop with nothing given at all is loose. Where one crease of a cross is given
// flat, the sheet can still fold along the other line, to one side; asked to
// different sides it stays flat.
func TestLoopOfFreeFoldsAlone(t *testing.T) {
	const cross = `
root = panel("root", rect(60, 60))
b = panel("b", rect(60, 60), on = root.right, fold = %s)
c = panel("c", rect(60, 60), on = b.top, fold = %s)
d = panel("d", rect(60, 60), on = root.top, fold = free("in"))
hinge(c.left, d.right, name = "last")
`
	for _, b := range []string{in, "0"} {
		if got := foldScript(t, fmt.Sprintf(cross, b, in)).fault("closed", LoopLoose).Missing; got != 1 {
			t.Errorf("first crease %s: %d missing", b, got)
		}
	}
	f := foldScript(t, fmt.Sprintf(cross, "0", out))
	f.sound("closed")
	f.wants("closed", map[string]float64{"c": 0, "d": 0, "last": 0})
}
