package contact

import (
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// orderOf lists the panels of a stack from the outside in, with their layers.
func orderOf(p *Posed, stack int) string {
	levels := p.Levels
	var in []int
	for i, l := range levels {
		if l.Stack == stack {
			in = append(in, i)
		}
	}
	slices.SortStableFunc(in, func(a, b int) int { return levels[a].Layer - levels[b].Layer })
	text := ""
	for _, i := range in {
		text += fmt.Sprintf("%s:%d ", p.Piece.Panels[i].Name, levels[i].Layer)
	}
	return text
}

// Stacks whose order follows from the rule by hand. Walls are 40 mm wide unless
// the row says otherwise.
func TestStackOrder(t *testing.T) {
	for _, c := range []struct{ name, script, want string }{
		// Each panel folds the other way from the one before: it lies beyond it.
		{"pleats", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right, fold = 180)
c = panel("c", rect(40, 60), on = b.right, fold = -180)
panel("d", rect(40, 60), on = c.right, fold = 180)
`, "a:0 b:1 c:2 d:3 "},
		// The same turn every time, in the order of making, wraps it up: b comes up
		// from below a, c goes round over a, and d lies in c, since a and b reach
		// beyond the crease between c and d.
		{"wrapped", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right, fold = 180)
c = panel("c", rect(39, 60), on = b.right, fold = 180)
panel("d", rect(38, 60), on = c.right, fold = 180)
`, "c:0 d:1 a:2 b:3 "},
		// Folded from the far end it rolls up: the last is innermost.
		{"rolled", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right, fold = 180)
c = panel("c", rect(39, 60), on = b.right, fold = 180)
d = panel("d", rect(38, 60), on = c.right, fold = 180)
pose("closed", order = [d, c, b])
`, "a:0 c:1 d:2 b:3 "},
		{"outward", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right, fold = -180)
`, "b:0 a:1 "},
		// A flattened tube: the seam, made last, lies inside both walls.
		{"tube", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right, fold = 180)
tab("seam", on = a.left, depth = 12, to = b)
`, "a:0 seam:1 b:2 "},
		// The flap over the back, glued to its outside: next to its target although
		// a panel made later also lies between front and back.
		{"envelope", `
a = panel("front", rect(100, 60))
flap_over = flap("flap", on = a.top, depth = 40, fold = 180)
back = panel("back", rect(100, 58), on = a.bottom, fold = 180)
for side in [a.left, a.right]:
    tab(side.name, on = side, depth = 12, to = back)
glue(flap_over, back, side = "outside")
`, "front:0 left:1 right:1 back:2 flap:3 "},
		// A tab made before its target still lies next to it, inside; c, which
		// folded before the target, stays where it landed on the tab.
		{"tab first", `
a = panel("a", rect(40, 60))
seam = flap("seam", on = a.left, depth = 12, fold = 180)
c = panel("c", rect(40, 60), on = a.top, fold = 180)
b = panel("b", rect(40, 60), on = a.right, fold = 180)
glue(seam, b)
`, "a:0 seam:1 b:2 c:3 "},
	} {
		p := fromScript(t, c.script+`piece("stack", a, board = card)`).closed()
		if got := orderOf(p, 0); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if n := p.Thickness(); n != p.thickestBySampling() {
			t.Errorf("%s: %d boards thick, %d by sampling", c.name, n, p.thickestBySampling())
		}
	}
}

// Where panels stand apart, the distance decides: an inner tray is inside
// although it was made first.
func TestStackOrderByDistance(t *testing.T) {
	p := loose([]geom.RigidTransform{geom.Identity3(), shifted(geom.Point3{X: 3, Z: caliper}), shifted(geom.Point3{X: 5, Z: caliper / 2})},
		rect(0, 0, 40, 40), rect(0, 0, 40, 40), rect(0, 0, 40, 40))
	var got []int
	for _, l := range p.Levels {
		got = append(got, l.Layer)
		near3(t, "the way out", l.Out, geom.Point3{Z: 1}, 1e-12)
	}
	if !slices.Equal(got, []int{2, 0, 1}) {
		t.Errorf("layers %v", got)
	}
}

// Law: of two panels with common ground one lies in a higher layer, and where
// nothing is folded, what is made earlier lies on the inside of what is made
// later.
func TestLevelLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(31))
	for range 60 {
		frames, shapes := randomHeap(rng, 12, false)
		p := loose(frames, shapes...)
		levels := p.Levels
		for _, l := range p.layerList() {
			if levels[l.A].Stack != levels[l.B].Stack || levels[l.A].Layer <= levels[l.B].Layer {
				t.Fatalf("panel %d in layer %+v, panel %d in layer %+v", l.A, levels[l.A], l.B, levels[l.B])
			}
		}
	}
}

// randomHeap throws boards into one plane, some of them face down.
func randomHeap(rng *rand.Rand, n int, flip bool) ([]geom.RigidTransform, [][][]geom.Point) {
	frames, shapes := make([]geom.RigidTransform, n), make([][][]geom.Point, n)
	for i := range frames {
		shapes[i] = randomBoard(rng, 25)
		frames[i] = geom.RotationAbout(geom.Point3{}, geom.Point3{Z: 1}, geom.Radians(rng.Float64()*7))
		frames[i].T = geom.Point3{X: rng.Float64() * 60, Y: rng.Float64() * 60}
		if flip && rng.Intn(2) == 0 {
			frames[i] = flipped(geom.Point3{}).Then(frames[i])
		}
	}
	return frames, shapes
}

// thickestBySampling counts the boards over many points of a flat pose.
func (p *Posed) thickestBySampling() int {
	all := emptyBox3()
	for i := range p.plates {
		all = all.add(p.plates[i].box.min).add(p.plates[i].box.max)
	}
	most := 0
	const steps = 300
	for k := range steps * steps {
		q := all.min
		q.X += (all.max.X - all.min.X) * (float64(k%steps) + 0.5) / steps
		q.Y += (all.max.Y - all.min.Y) * (float64(k/steps) + 0.5) / steps
		n := 0
		for i := range p.plates {
			if s := &p.plates[i]; polygon.Holds(s.body.Loops, s.local(q).Plane()) {
				n++
			}
		}
		most = max(most, n)
	}
	return most
}

// Law: no point lies under more boards than the thickness, and some point of a
// fine grid lies under as many, or all but one where the thickest place is too
// small for the grid to meet.
func TestThicknessAgreesWithSampling(t *testing.T) {
	rng := rand.New(rand.NewSource(32))
	alike := 0
	for n := range 40 {
		frames, shapes := randomHeap(rng, 8, true)
		p := loose(frames, shapes...)
		if !p.Flat() {
			t.Fatal("a heap in one plane is not flat")
		}
		thick, sampled := p.Thickness(), p.thickestBySampling()
		if sampled > thick || sampled < thick-1 {
			t.Errorf("heap %d: %d boards thick, %d by sampling", n, thick, sampled)
		}
		if sampled == thick {
			alike++
		}
	}
	if alike < 36 {
		t.Errorf("only %d of 40 heaps agree", alike)
	}
}

// A pose is flat within the tolerance and no farther, and boards that only
// share an edge are no two layers there.
func TestFlat(t *testing.T) {
	for _, c := range []struct {
		lift float64
		flat bool
	}{{0, true}, {FlatLimit * 0.9, true}, {FlatLimit * 1.1, false}, {-FlatLimit * 1.1, false}} {
		p := loose([]geom.RigidTransform{geom.Identity3(), shifted(geom.Point3{X: 10, Z: c.lift})}, rect(0, 0, 10, 10), rect(0, 0, 10, 10))
		if p.Flat() != c.flat {
			t.Errorf("lifted %g: flat is %v", c.lift, p.Flat())
		}
		if c.flat && p.Thickness() != 1 {
			t.Errorf("lifted %g: %d boards thick", c.lift, p.Thickness())
		}
	}
}

// A pose in which a panel has no place is not known to be flat, though all that
// is placed lies in one plane.
func TestFlatIsOfAllPanels(t *testing.T) {
	f := fromScript(t, `
base = panel("base", rect(60, 40))
panel("wall", rect(60, 30), on = base.top, bent = True)
piece("p", base, board = card)
`)
	if f.closed().Flat() || !f.poses["flat"].Flat() {
		t.Errorf("closed flat %v, flat flat %v", f.closed().Flat(), f.poses["flat"].Flat())
	}
}
