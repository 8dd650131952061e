package contact

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// stacked lists the cells of a pose's stacks by the names of their panels, outermost
// first, those of one panel left out.
func stacked(p *Posed) []string {
	var out []string
	for _, s := range p.Stacks {
		for _, c := range s.Cells {
			var names []string
			for _, i := range c.Panels {
				names = append(names, p.Piece.Panels[i].Name)
			}
			if len(names) > 1 {
				out = append(out, strings.Join(names, ", "))
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// tongued is a flap with a notch in its end and one folded over it whose tongue goes
// through the notch, the second step mm outside the first.
func tongued(step float64) string {
	return fmt.Sprintf(`base = panel("base", rect(60, 30))
far = panel("far", rect(60, %g), on = base.bottom)
near = flap("near", on = base.top, depth = 40)
low = flap("low", on = near.tip, depth = 24)
low.cut(rect(24, 10).shift(18, 14))
high = flap("high", on = far.bottom, depth = 12)
tongue = flap("tongue", on = high.tip.part(20, 40), depth = 16, fold = 0)
tuck(tongue, into = low, reach = 6)
piece("lock", base, board = card)
`, 40+step)
}

// By hand: what the tongue hangs on lies over the prongs beside the notch, as it
// was folded last, and the tongue behind the flap, whether the creases are on one
// height, or stepped for the second flap by one caliper or two.
func TestTonguesGoThrough(t *testing.T) {
	for _, step := range []float64{0, caliper, 2 * caliper} {
		f := fromScript(t, tongued(step))
		p := f.poses["closed"]
		if got, want := stacked(p), []string{"high, low", "low, tongue"}; step < 2*caliper && !slices.Equal(got, want) {
			t.Errorf("step %g: %q, want %q", step, got, want)
		}
		for _, s := range p.Stacks {
			if s.Tangle != nil {
				t.Errorf("step %g: tangled at %s", step, p.Piece.Panels[s.Tangle.Panel].Name)
			}
		}
		for _, g := range must(p.Gaps(bg, p)) {
			if g.Size > 0 {
				t.Errorf("step %g: %+v", step, g.Miss)
			}
		}
	}
}

// By hand: of a tongue that stands 8 mm beside the notch so much of its width meets
// board wherever it could go through.
func TestTonguesAreStopped(t *testing.T) {
	text := strings.Replace(tongued(0), "part(20, 40)", "part(10, 30)", 1)
	p := fromScript(t, text).poses["closed"]
	g := must(p.Gaps(bg, p))[0]
	if g.To != Stopped {
		t.Fatalf("%+v", g.Miss)
	}
	near(t, "stopped", g.Size, 8, 1e-6)
}

// By hand: of a tongue 20 mm wide and 30 deep two boards stop what both cover, once;
// a line that leaves the reach beyond it and meets less of them is better.
func TestStoppedByHand(t *testing.T) {
	over := rect(0, 0, 20, 30)[0]
	low := barrier{1, rect(-5, -5, 10, 50)}  // its first 5 mm
	high := barrier{2, rect(3, -5, 7, 50)}   // from 3 to 10
	half := barrier{3, rect(-5, 12, 40, 50)} // all of it, from 12 mm on
	for _, c := range []struct {
		barriers []barrier
		reach    float64
		wide     float64
		by       int
	}{
		{[]barrier{low}, 6, 5, 1},
		{[]barrier{low, high}, 6, 10, 2},
		{[]barrier{half}, 6, 0, 3},
		{[]barrier{{3, rect(-5, -5, 40, 17)}}, 6, 0, 3},
		{[]barrier{{3, rect(-5, -5, 40, 17)}}, 20, 20, 3}, // free beyond 12 mm, where less than 20 is left
	} {
		wide, by := stopped(over, c.barriers, geom.Pt(0, 0), geom.Pt(0, 1), c.reach)
		near(t, "width", wide, c.wide, 1e-9)
		if by != c.by {
			t.Errorf("stopped by %d, want %d", by, c.by)
		}
	}
}

// By hand: of two flaps with creases a caliper apart the one with the outer crease
// lies outside; in the order of folding that a pose names, the one folded last.
func TestOrderOfFoldingGoesBeforeStepsOfACaliper(t *testing.T) {
	for _, c := range []struct {
		step  float64
		order string
		want  string
	}{
		{0.5, "", "one, two"},
		{0.5, `pose("closed", order = [one, two])`, "two, one"},
		{0.5, `pose("closed", order = [two, one])`, "one, two"},
		{0.3, `pose("closed", order = [one, two])`, "two, one"},
		{0, "", "two, one"},
		{0, `pose("closed", order = [two, one])`, "one, two"},
	} {
		p := fromScript(t, fmt.Sprintf(`base = panel("base", rect(60, 50))
left = flap("left", on = base.left, depth = %g)
right = flap("right", on = base.right, depth = 40)
one = flap("one", on = left.tip, depth = 40)
two = flap("two", on = right.tip, depth = 40)
%s
piece("tray", base, board = card)
`, 40+c.step, c.order)).poses["closed"]
		if got := stacked(p); !slices.Equal(got, []string{c.want}) {
			t.Errorf("step %g %s: %q, want %q", c.step, c.order, got, c.want)
		}
	}
}
