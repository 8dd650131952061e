package contact

import (
	"fmt"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// onlyGap measures the one join of a closed piece.
func onlyGap(t *testing.T, script string) Gap {
	t.Helper()
	gaps := must(fromScript(t, script).closed().Gaps(bg, nil))
	if len(gaps) != 1 {
		t.Fatalf("%d gaps", len(gaps))
	}
	return gaps[0]
}

// A U of base 60 and two walls: what is asked of its walls, by hand. Walls
// stand in the planes x = 0 and x = 60 with their insides facing each other.
const channel = `
base = panel("base", rect(60, 50))
left = panel("left", rect(%g, 50), on = base.left)
right = panel("right", rect(40, 50), on = base.right)
piece("channel", base, board = card)
`

func TestMeetGaps(t *testing.T) {
	for _, c := range []struct {
		name       string
		left, asks float64
		size       float64
		off        float64
	}{
		{"across", 40, 0, 60, 60},
		{"less what is asked", 40, 58.5, 1.5, 60},
		{"no less than nothing", 40, 61, 0, 60},
		{"one wall lower", 37, 0, math.Hypot(60, 3), 60},
	} {
		g := onlyGap(t, fmt.Sprintf(channel+"meet(left.left, right.right, gap = %g)", c.left, c.asks))
		near(t, c.name, g.Size, c.size, 1e-9)
		near(t, c.name+": off", math.Abs(g.Off), c.off, 1e-9)
		near(t, c.name+": beyond", math.Abs(g.Beyond), 40-c.left, 1e-9)
		near(t, c.name+": vector", g.Vector.Len(), g.Raw, 1e-9)
		if g.To != ToEdge || g.Panel.Name != "left" {
			t.Errorf("%s: %+v", c.name, g)
		}
	}
}

// The shorter edge is measured by its ends: a short edge against the middle of
// a long one meets it, and slid out over its end misses by the overhang.
func TestMeetShorterEdge(t *testing.T) {
	for _, c := range []struct{ slide, want float64 }{{0, 0}, {15, 0}, {22, 7}, {-25, 10}} {
		g := onlyGap(t, fmt.Sprintf(`
base = panel("base", rect(60, 50))
left = panel("left", rect(30, 50), on = base.left)
right = panel("right", rect(30, 50), on = base.right)
roof = panel("roof", rect(60, 20), by = "right", on = left.left, slide = %g, overhang = True)
roof2 = panel("roof2", rect(60, 20), by = "left", on = right.right)
meet(roof.left, right.right)
piece("channel", base, board = card)
`, c.slide))
		near(t, fmt.Sprintf("slid %g", c.slide), g.Size, c.want, 1e-9)
		near(t, fmt.Sprintf("slid %g: along", c.slide), math.Abs(g.Along), c.want, 1e-9)
		if g.Panel.Name != "roof" || g.Edge != "right" {
			t.Errorf("slid %g: %s off edge %q", c.slide, g.Panel.Name, g.Edge)
		}
	}
}

// A sleeve whose base is 1.5 mm too short: the tab's hinge misses the wall's
// edge by that, and base and top are the sizes that explain it.
func TestBaseTooShort(t *testing.T) {
	f := fromScript(t, `
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(58.5, 90), on = right.right)
tab("seam", on = base.right, depth = 12, to = left.left)
piece("sleeve", top, board = card)
`)
	g := must(f.closed().Gaps(bg, nil))[0]
	near(t, "gap", g.Size, 1.5, 1e-9)
	near(t, "off the wall", g.Off, -1.5, 1e-9) // on its inside
	near3(t, "vector", g.Vector, geom.Point3{X: 1.5}, 1e-9)
	near(t, "place on the blank", g.AtBlank.X, 60+28+58.5, 1e-9)
	want := []Resize{{Edge: "right", Across: "left", By: 1.5}, {Edge: "left", Across: "right", By: -1.5}}
	if len(g.Resizes) != 2 || g.Resizes[0].Panel.Name != "base" || g.Resizes[1].Panel.Name != "top" {
		t.Fatalf("resizes %+v", g.Resizes)
	}
	for i, r := range g.Resizes {
		near(t, "resize of "+r.Panel.Name, r.By, want[i].By, 1e-6)
		near(t, "what is left", r.Left, 0, 1e-6)
		near(t, "sense", math.Abs(r.By), 1.5, 1e-6)
	}
}

// A gap that no single size explains names none: the wall is turned, not short.
func TestNoResizeForATurn(t *testing.T) {
	g := onlyGap(t, `
top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right, fold = 80)
base = panel("base", rect(60, 90), on = right.right)
tab("seam", on = base.right, depth = 12, to = left.left)
piece("sleeve", top, board = card)
`)
	if g.Size < 5 || len(g.Resizes) > 0 {
		t.Errorf("gap %g, resizes %+v", g.Size, g.Resizes)
	}
}

// A flap of 40 × depth folded back on a panel of 60 × 30 and glued, by hand: the
// rim of 1 mm is forgiven, the rest counts.
func TestGlueGaps(t *testing.T) {
	for _, c := range []struct {
		name, glued string
		size        float64
		beyond      float64
	}{
		{"within", `flap("f", on = a.top, depth = 25, fold = 180)`, 0, 0},
		{"a little beyond", `flap("f", on = a.top, depth = 30.8, fold = 180)`, 0, 0},
		{"beyond the rim", `flap("f", on = a.top, depth = 33, fold = 180)`, 2, 2},
		{"beside a corner", `flap("f", on = a.top, depth = 33, inset = (-4, 0), fold = 180)`, 5 - 1, 4},
		{"tilted", `flap("f", on = a.top, depth = 25, fold = 170)`, 25*math.Sin(math.Pi/18) - 0.5, 0},
	} {
		g := onlyGap(t, `a = panel("a", rect(60, 30))`+"\nf = "+c.glued+"\nglue(f, a)\npiece(\"p\", a, board = card)")
		near(t, c.name, g.Size, c.size, 1e-9)
		if c.beyond > 0 && (g.Beyond <= 0 || math.Abs(math.Hypot(g.Beyond, g.Along)-c.size) > 1e-9) {
			t.Errorf("%s: beyond %g along %g", c.name, g.Beyond, g.Along)
		}
		if g.To != ToPanel {
			t.Errorf("%s: measured to %d", c.name, g.To)
		}
	}
}

// A glued panel that spans a notch of its target: the farthest point of its
// outline is in the middle of the notch, on no corner. The notch is 20 wide and
// 30 deep; the edge lies 15 mm into it, so the sides are 10 mm away.
func TestGlueAcrossANotch(t *testing.T) {
	g := onlyGap(t, `
a = panel("a", polygon([(0, 0), (60, 0), (60, 50), (40, 50), (40, 20), (20, 20), (20, 50), (0, 50)],
          edges = ["base", "right", "tr", "nr", "nb", "nl", "tl", "left"]))
b = panel("b", rect(60, 35), on = a.base, by = "bottom", fold = 180)
glue(b, a)
piece("p", a, board = card)
`)
	near(t, "gap", g.Size, 10-Rim, searchTo)
	near(t, "place", g.At.X, 30, 0.1)
	near(t, "place", g.At.Y, 35, 1e-9)
}

// A tuck 20 deep behind a wall, its lid wide enough to bring it some way inside
// of the wall's plane: within two calipers it lies along it.
func TestTuckIntoAPanel(t *testing.T) {
	for _, c := range []struct{ inside, size, off float64 }{
		{0, 0, 0}, {caliper, 0, 0}, {2 * caliper, 0, 0}, {3 * caliper, caliper, -caliper}, {-0.3, 0.3, 0.3},
	} {
		g := onlyGap(t, fmt.Sprintf(`
base = panel("base", rect(60, 50))
left = panel("left", rect(40, 50), on = base.left)
right = panel("right", rect(40, 50), on = base.right)
lid = flap("lid", on = left.left, depth = 60 - %g)
tongue = flap("tuck", on = lid.tip, depth = 20, inset = 1)
tuck(tongue, into = right)
piece("channel", base, board = card)
`, c.inside))
		near(t, fmt.Sprintf("%g inside", c.inside), g.Size, c.size, 1e-9)
		near(t, fmt.Sprintf("%g inside: off", c.inside), g.Off, c.off, 1e-9)
	}
}

// A tongue that comes down on a window of the base, by hand: through it,
// beside it, too short for it.
func TestTuckIntoAnOpening(t *testing.T) {
	for _, c := range []struct {
		name         string
		depth, slide float64
		size         float64
		hits         bool
	}{
		{"through", 36, 0, 0, false},
		{"just there", 30, 0, 0, false},
		{"short", 28, 0, 2, false},
		{"beside", 36, 8, 3, false},
		{"far beside", 36, 30, 25, true},
	} {
		f := fromScript(t, fmt.Sprintf(`
base = panel("base", rect(100, 60))
left = panel("left", rect(30, 60), on = base.left)
roof = panel("roof", rect(50, 60), on = left.left)
tongue = panel("tongue", rect(%g, 20), on = roof.left, slide = %g)
hole = base.cut(rect(4, 30).shift(48, 15))
tuck(tongue, into = hole)
piece("p", base, board = card)
`, c.depth, c.slide))
		p := f.closed()
		g := must(p.Gaps(bg, nil))[0]
		near(t, c.name, g.Size, c.size, 1e-9)
		if g.To != ToOpening || g.Panel.Name != "tongue" {
			t.Errorf("%s: %+v", c.name, g)
		}
		// What runs into the rim near the opening is the join's matter.
		if _, hit := p.penetrationOf("tongue", "base"); hit != c.hits {
			t.Errorf("%s: its crossing counts as contact: %v", c.name, hit)
		}
	}
}

// In a glued pose other than "closed" a glue's gap is how far its panel moved
// on the target. Pressed flat a tube keeps its glue; with one fold held back it
// does not.
func TestGlueMoves(t *testing.T) {
	f := fromScript(t, `
front = panel("front", rect(60, 90))
right = panel("right", rect(28, 90), on = front.right)
back = panel("back", rect(60, 90), on = right.right)
left = panel("left", rect(28, 90), on = back.right)
seam = flap("seam", on = front.left, depth = 12)
glue(seam, left)
pose("shipped", {"right": 0, "back": 180, "left": 0, "seam": 180})
pose("ajar", {"left": 90 + 0.3})
pose("open", {"left": 0}, glued = False)
piece("tube", front, board = card)
`)
	gap := func(pose string) []Gap { return must(f.poses[pose].Gaps(bg, f.closed())) }
	near(t, "closed", gap("closed")[0].Size, 0, 1e-9)
	near(t, "shipped", gap("shipped")[0].Size, 0, 1e-9)
	// Seen from left, the seam turned by 0.3° about left's hinge on back, 28 mm
	// away; its farthest corner there is one of the base, at (28, 0).
	ajar := gap("ajar")[0]
	near(t, "ajar", ajar.Size, 2*28*math.Sin(0.15*math.Pi/180), 1e-9)
	if ajar.To != Moved {
		t.Errorf("ajar is measured to %d", ajar.To)
	}
	for _, pose := range []string{"open", model.PoseFlat} {
		if n := len(gap(pose)); n > 0 {
			t.Errorf("%d gaps in pose %q", n, pose)
		}
	}
}

// Bent board keeps its lengths: edges that meet round a bent panel miss by what
// one is longer than the other, beyond the gap asked for, though it has no place
// in the pose; elsewhere a short edge may meet a part of a long one.
func TestEdgesRoundABentPanel(t *testing.T) {
	const drum = `
floor = panel("floor", rect(157, 20))
wall = panel("wall", rect(150, 60), on = floor.top, by = "bottom", `
	for _, c := range []struct {
		name, rest string
		want       float64
	}{
		{"bent", "bent = True)\nmeet(wall.top, floor.bottom)", 7},
		{"bent, the other way round", "bent = True)\nmeet(floor.bottom, wall.top)", 7},
		{"part of an edge", "bent = True)\nmeet(wall.top, floor.bottom.part(2, 152))", 0},
		{"a gap asked for", "bent = True)\nmeet(wall.top, floor.bottom, gap = 5)", 2},
		{"a tab", "bent = True)\ntab(\"seam\", on = wall.top, depth = 9, to = floor.bottom, inset = 4)", 7},
		{"a tab to a bent end", "bent = True)\ntab(\"seam\", on = floor.bottom, depth = 9, to = wall.top)", 7},
		{"a tooth", "bent = True)\ntab(\"seam\", on = wall.top.part(10, 20), depth = 9, to = floor.bottom)", 0},
		{"a tooth too long", "bent = True)\ntab(\"seam\", on = wall.top.part(2, 149), depth = 9, to = floor.bottom.part(4, 104))", 47},
		{"folded", "fold = 180)\nmeet(wall.bottom, floor.top)", 0},
	} {
		g := onlyGap(t, drum+c.rest+"\npiece(\"drum\", floor, board = card)\n")
		near(t, c.name, g.Size, c.want, 1e-9)
		if bent := g.To == Lengths; bent != (c.name != "folded") {
			t.Errorf("%s: measured to %d", c.name, g.To)
		}
	}
}

// By hand: how far a rectangle reaches over board, from the rim it covers.
func TestHoldByHand(t *testing.T) {
	on := rect(0, 0, 40, 40)
	notched := [][]geom.Point{{{X: 0}, {X: 10}, {X: 10, Y: 12}, {X: 30, Y: 12}, {X: 30}, {X: 40}, {X: 40, Y: 40}, {Y: 40}}}
	for _, c := range []struct {
		name string
		on   [][]geom.Point
		over []geom.Point
		held float64
	}{
		{"over one side", on, rect(10, -20, 20, 26)[0], 6},
		{"over a corner", on, rect(-20, -20, 26, 28)[0], 6},
		{"all on it", on, rect(5, 5, 10, 10)[0], math.Inf(1)},
		{"beside it", on, rect(50, 0, 10, 10)[0], 0},
		{"in a notch", notched, rect(11, -10, 18, 20)[0], 0},
		{"in a notch, from side to side", notched, rect(10, -10, 20, 20)[0], 0},
		{"past the end of a notch", notched, rect(11, -10, 18, 28)[0], 6},
		{"past its end, from side to side", notched, rect(10, -10, 20, 28)[0], 6},
	} {
		held, _ := heldBy(c.over, c.on)
		if held != c.held && !(math.Abs(held-c.held) <= 1e-9) {
			t.Errorf("%s: %g, want %g", c.name, held, c.held)
		}
	}
}
