package contact

import (
	"fmt"
	"math"
	"testing"
)

// A flap of 60 × 20 glued flat on a panel of 60 × 40 with this and that worked
// on it, by hand: areas in mm². Folded over, the flap covers y from 20 to 40.
func TestCovers(t *testing.T) {
	for _, c := range []struct {
		name, work        string
		off, holes, lines float64
	}{
		{"whole", ``, 0, 0, 0},
		{"a window under it", `a.cut(rect(10, 6).shift(20, 30))`, 0, 60, 0},
		{"half a window under it", `a.cut(rect(10, 10).shift(20, 15))`, 0, 50, 0},
		{"a round window", `a.cut(circle(8).shift(30, 30))`, 0, 16 * math.Pi, 0},
		{"a window elsewhere", `a.cut(rect(10, 6).shift(20, 5))`, 0, 0, 0},
		{"a slit", `a.cut(path(5, 10).line(5, 35))`, 0, 0, 15},
		{"a perforation run on from another panel", `b = panel("b", rect(30, 40), on = a.right)
b.perforate(path(-60, 30).line(30, 30))`, 0, 0, 60},
		{"a score", `a.score(path(5, 10).line(5, 35))`, 0, 0, 0},
		{"a window of its own", `f.cut(rect(10, 6).shift(20, 5))`, 0, 0, 0},
	} {
		f := fromScript(t, `
a = panel("a", rect(60, 40))
f = flap("f", on = a.top, depth = 20, fold = 180)
glue(f, a)
`+c.work+`
piece("p", a, board = card)
`)
		covers := must(f.closed().Covers(bg))
		if len(covers) != 1 {
			t.Fatalf("%s: %d covers", c.name, len(covers))
		}
		got := covers[0]
		area := 1200.0
		if c.name == "a window of its own" {
			area -= 60
		}
		near(t, c.name+": area", got.Area, area, 1e-9)
		near(t, c.name+": off", got.Off, c.off, 1e-9)
		near(t, c.name+": holes", got.Holes, c.holes, 1e-6)
		near(t, c.name+": lines", got.Lines, c.lines*lineBand, 1e-9)
		near(t, c.name+": share", got.Share, (c.off+c.holes+c.lines)/area, 1e-8)
	}
}

// What leaves the target is told, and a panel that stands up from its target
// covers none of it.
func TestCoverLeavesTarget(t *testing.T) {
	for _, c := range []struct{ depth, fold, off float64 }{{50, 180, 600}, {40, 180, 0}, {20, 100, 1200}} {
		got := must(fromScript(t, fmt.Sprintf(`
a = panel("a", rect(60, 40))
f = flap("f", on = a.top, depth = %g, fold = %g)
glue(f, a)
piece("p", a, board = card)
`, c.depth, c.fold)).closed().Covers(bg))[0]
		near(t, fmt.Sprintf("%g deep at %g", c.depth, c.fold), got.Off, c.off, 1e-9)
		near(t, fmt.Sprintf("%g deep at %g: share", c.depth, c.fold), got.Share, c.off/(60*c.depth), 1e-12)
	}
}

// Tabs cover what they are glued to as glued panels do; edges that meet and
// panels that are tucked in cover nothing.
func TestCoversOfJoins(t *testing.T) {
	f := fromScript(t, `
a = panel("a", rect(60, 40))
b = panel("b", rect(60, 40), on = a.right, fold = 180)
tab("t", on = a.top, depth = 10, to = b)
meet(a.left, b.right)
f = flap("f", on = a.bottom, depth = 10, fold = 180)
tuck(f, b)
piece("p", a, board = card)
`)
	covers := must(f.closed().Covers(bg))
	if len(covers) != 1 || covers[0].Join.A.Panel.Name != "t" {
		t.Fatalf("covers %+v, want that of the tab alone", covers)
	}
}
