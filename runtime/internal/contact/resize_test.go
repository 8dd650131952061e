package contact

import (
	"fmt"
	"slices"
	"testing"
)

// resizesOf names the sizes that close the one join, with their changes to a
// thousandth.
func resizesOf(t *testing.T, script string) []string {
	t.Helper()
	var out []string
	for _, r := range onlyGap(t, script).Resizes {
		out = append(out, fmt.Sprintf("%s.%s %+.3f", r.Panel.Name, r.Edge, r.By))
	}
	return out
}

// Sizes that close a gap, by hand.
func TestResizes(t *testing.T) {
	for _, c := range []struct {
		name, script string
		want         []string
	}{
		// The edges that should meet belong to the two panels at the ends of the
		// walk: their own size counts as well.
		{"one wall lower", `
base = panel("base", rect(60, 50))
left = panel("left", rect(37, 50), on = base.left)
roof = panel("roof", rect(60, 50), on = left.left)
right = panel("right", rect(40, 50), on = base.right)
meet(roof.left, right.right)
piece("p", base, board = card)
`, []string{"right.right -3.000", "left.right +3.000"}},
		{"a roof too long", `
base = panel("base", rect(60, 50))
left = panel("left", rect(40, 50), on = base.left)
roof = panel("roof", rect(62, 50), on = left.left)
right = panel("right", rect(40, 50), on = base.right)
meet(roof.left, right.right)
piece("p", base, board = card)
`, []string{"roof.right -2.000", "base.right +2.000"}},
		// So does the panel whose edge a tab is to meet.
		{"a seam that is short of its wall", `
front = panel("front", rect(60, 90))
right = panel("right", rect(33, 90), on = front.right)
back = panel("back", rect(60, 90), on = right.right)
left = panel("left", rect(30, 90), on = back.right)
tab("seam", on = front.left, depth = 12, to = left.right)
piece("p", front, board = card)
`, []string{"left.right +3.000", "right.right -3.000"}},
		// Asked to stand 0.5 mm apart it need move only so far.
		{"a gap asked for", `
base = panel("base", rect(60, 50))
left = panel("left", rect(40, 50), on = base.left)
roof = panel("roof", rect(62, 50), on = left.left)
right = panel("right", rect(40, 50), on = base.right)
meet(roof.left, right.right, gap = 0.5)
piece("p", base, board = card)
`, []string{"roof.right -1.500", "base.right +1.500"}},
		// Both hang on one edge of the base, whose size moves both alike.
		{"two on one edge", `
base = panel("base", rect(60, 50))
a = panel("a", rect(20, 30), on = base.top.part(0, 20), by = "bottom")
b = panel("b", rect(20, 32), on = base.top.part(40, 60), by = "bottom")
lid = panel("lid", rect(15, 10), on = a.right, by = "left", fold = 0)
meet(lid.right, b.left)
piece("p", base, board = card)
`, []string{"lid.left +5.000", "b.left +5.000", "a.right +5.000"}},
		// On a three-cornered panel the two hinges are not parallel, and each has
		// a size square to it; here the one square to "right" will do.
		{"round a corner", `
base = panel("base", polygon([(0, 0), (60, 0), (60, 60)], edges = ["bottom", "right", "slope"]))
wing = panel("wing", rect(60, 20), on = base.right, by = "bottom")
front = panel("front", rect(56, 20), on = base.bottom, by = "bottom")
meet(front.left, wing.right)
piece("p", base, board = card)
`, []string{"front.left +2.000", "base.right -2.000"}},
		// Nothing would be left of the base.
		{"walls across from one another", `
base = panel("base", rect(60, 50))
near = flap("near", on = base.left, depth = 30)
far = flap("far", on = base.right, depth = 30)
glue(far, near)
piece("p", base, board = card)
`, nil},
		// A tongue reaches as far as it is long.
		{"a tongue short of its slot", `
base = panel("base", rect(60, 50))
wall = flap("wall", on = base.right, depth = 40)
post = flap("post", on = base.left, depth = 20)
roof = flap("roof", on = post.tip, depth = 50)
tongue = flap("tongue", on = roof.tip, depth = 8, fold = 0, inset = 15)
tuck(tongue, into = wall.cut(rect(22, 1).shift(14, 19.5)))
piece("p", base, board = card)
`, []string{"tongue.tip +2.000", "roof.base +2.000", "base.right -2.000"}},
	} {
		if got := resizesOf(t, c.script); !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Law: the hinges between two panels lead from one to the other, each to a
// panel that the next one joins too, and back by the same way.
func TestBetween(t *testing.T) {
	f := fromExample(t, "tea-carton.star")
	panels := f.design.Pieces[0].Panels
	for _, a := range panels {
		for _, b := range panels {
			up, down := between(a, b)
			at := a
			for _, h := range append(slices.Clone(up), down...) {
				switch at {
				case h.Parent:
					at = h.Child
				case h.Child:
					at = h.Parent
				default:
					t.Fatalf("from %s to %s: hinge %s does not lead on from %s", a.Name, b.Name, h.Name, at.Name)
				}
				if e := edgeOf(h, at); e.Panel != at {
					t.Fatalf("edge %s is not one of %s", e, at.Name)
				}
			}
			if at != b {
				t.Fatalf("from %s the hinges lead to %s, not %s", a.Name, at.Name, b.Name)
			}
			back, forth := between(b, a)
			if len(back)+len(forth) != len(up)+len(down) {
				t.Fatalf("from %s to %s there are %d hinges, back %d", a.Name, b.Name, len(up)+len(down), len(back)+len(forth))
			}
		}
	}
}
