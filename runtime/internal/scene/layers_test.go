package scene

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// stacked is three squares in one place.
func stacked() Input {
	id := geom.Identity3()
	return loose([]blank.Ring{rectangle(50, 50), rectangle(50, 50), rectangle(50, 50)}, []geom.RigidTransform{id, id, id})
}

func showing(p *Picture) map[string]float64 {
	out := map[string]float64{}
	for _, f := range p.Faces {
		out[f.Panel.Name] += faceArea(f)
	}
	return out
}

// Of panels that coincide the first made lies outermost: it alone is seen from
// outside, and the last from behind.
func TestCoincidingPanels(t *testing.T) {
	in := stacked()
	if s := showing(pictured(in, Front())); len(s) != 1 || s["p0"] == 0 {
		t.Errorf("from outside: %v", s)
	}
	if s := showing(pictured(in, Behind())); len(s) != 1 || s["p2"] == 0 {
		t.Errorf("from inside: %v", s)
	}
}

// Layers say otherwise, and part the panels by a layer spacing each, which shows as
// strips of the lower ones.
func TestLayersDecideAndPart(t *testing.T) {
	in := stacked()
	out := geom.Point3{Z: 1}
	in.Layers = []Layer{{1, out}, {2, out}, {0, out}}
	p := pictured(in, Front())
	s := showing(p)
	if len(s) != 3 || s["p2"] < s["p0"] || s["p2"] < s["p1"] {
		t.Errorf("from outside: %v", s)
	}
	spacing := LayerSpacing(in.Blank)
	for i, f := range p.projection.faces {
		if z := f.plate.place.T.Z; !near(z, -spacing*float64(in.Layers[i].In), 1e-12) {
			t.Errorf("panel %d stands at %g", i, z)
		}
	}
}

// The layer spacing is a hundredth of the blank's diagonal, and 3 mm at most: common
// practice, no source.
func TestHair(t *testing.T) {
	for _, c := range []struct{ side, want float64 }{{30, 0.4243}, {100, 1.4142}, {1000, 3}} {
		in := loose([]blank.Ring{rectangle(c.side, c.side)}, []geom.RigidTransform{geom.Identity3()})
		if h := LayerSpacing(in.Blank); !near(h, c.want, 1e-4) {
			t.Errorf("a square of %g mm: a spacing of %g mm", c.side, h)
		}
	}
}

// pressedTube is a tube of four panels pressed flat, its tab between the first and
// the last.
const pressedTube = `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
c = panel("c", rect(60, 80), on = b.right)
d = panel("d", rect(40, 80), on = c.right)
lid = flap("lid", on = c.top, depth = 20)
seam = tab("seam", on = a.left, depth = 10, to = d, taper = 0)
piece("tube", a, board = board("card", caliper = 0.4))
pose("flat tube", {"b": 0, "c": 180, "d": 0, "lid": 0})
`

func pressed(t *testing.T) Input {
	in := folded(t, pressedTube, "flat tube")
	out := geom.Point3{Z: 1}
	// As a reader of the pose would say: c lies on b, d on the tab and on a.
	in.Layers = []Layer{{0, out}, {0, out}, {1, out}, {2, out}, {0, geom.Point3{Z: -1}}, {1, out}}
	return in
}

// Panels that continue one another stay joined: c and its lid go as deep as d.
func TestFlatNeighboursStayJoined(t *testing.T) {
	in := pressed(t)
	p := pictured(in, Behind())
	spacing := LayerSpacing(in.Blank)
	for name, want := range map[string]float64{"a": 0, "b": 0, "c": -2, "d": -2, "lid": -2, "seam": -1} {
		for _, b := range p.projection.plates {
			if b.panel.Name == name && !near(b.lift.Z, want*spacing, 1e-12) {
				t.Errorf("%q is lifted by %g spacings, want %g", name, b.lift.Z/spacing, want)
			}
		}
	}
}

// They part where joining them would put one through what lies between.
func TestNeighboursPartRoundALayer(t *testing.T) {
	in := pressed(t)
	// A tab said to lie between b and c, too.
	for i, b := range in.Blank.Regions {
		if b.Panel.Name == "d" {
			in.Layers[i].In = 1
		}
		if b.Panel.Name == "seam" {
			in.Layers[i].In = 2
		}
	}
	p := pictured(in, Behind())
	for _, b := range p.projection.plates {
		want := map[string]float64{"c": 1, "d": 1, "seam": 2}[b.panel.Name]
		if want != 0 && !near(b.lift.Z, -want*LayerSpacing(in.Blank), 1e-12) {
			t.Errorf("%q is lifted by %g", b.panel.Name, b.lift.Z)
		}
	}
}

// So they do where one of them has less layers under it than the other: the lid,
// folded in on c, lies between c and the depth of d.
func TestNeighboursPartUnderALayer(t *testing.T) {
	in := folded(t, strings.Replace(pressedTube, `"lid": 0`, `"lid": 180`, 1), "flat tube")
	out := geom.Point3{Z: 1}
	in.Layers = []Layer{{0, out}, {0, out}, {1, out}, {3, out}, {2, out}, {1, out}}
	spacing := LayerSpacing(in.Blank)
	for _, b := range pictured(in, Behind()).projection.plates {
		want := map[string]float64{"c": 1, "lid": 2, "d": 3}[b.panel.Name]
		if want != 0 && !near(b.lift.Z, -want*spacing, 1e-12) {
			t.Errorf("%q is lifted by %g spacings, want %g", b.panel.Name, -b.lift.Z/spacing, want)
		}
	}
}

// Where a layer moves a panel along its neighbour the hinge stays at the corner;
// where two panels lie on one another a layer apart it is drawn on both.
func TestHingesOfLayers(t *testing.T) {
	in := pressed(t)
	p := pictured(in, Behind())
	// From behind and below: the folds between b and c, and a and its tab, are
	// seen from their open side and d's and c's own lines in full.
	if h := kindLength(p, Hinge); h < 80 {
		t.Errorf("%g mm of hinges", h)
	}
	corner := folded(t, `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
piece("corner", a, board = board("card", caliper = 0.4))
`, "closed")
	bare := kindLength(pictured(corner, Front()), Hinge)
	corner.Layers = []Layer{{}, {1, geom.Point3{X: 1}}}
	p = pictured(corner, Front())
	if h := kindLength(p, Hinge); !near(h, bare, 1e-9) {
		t.Errorf("%g mm of hinge with a layer, %g without", h, bare)
	}
	if at := p.View.Project(geom.Point3{X: 60, Y: 40}); !drawn(p, at, 1e-6) {
		t.Error("the hinge has left the corner")
	}
}

// A crease is not hidden by the panel that hangs by it where a layer moves that
// panel past the corner, as it stands on both sides of its hinge and cannot lean.
func TestMovedPanelHidesNoCreaseOfItsOwn(t *testing.T) {
	in := folded(t, `
a = panel("a", polygon([(0, 0), (60, 0), (60, 40), (40, 40), (40, 80), (0, 80)], edges = ["s", "e", "notch", "inner", "n", "w"]))
b = panel("b", polygon([(0, 0), (40, 0), (40, 80), (-19, 80), (-19, 41), (0, 41), (0, 40)], edges = ["s", "e", "n", "nose", "step", "rest", "w"]), on = a.edge("e"), by = "w")
piece("corner", a, board = board("card", caliper = 0.4))
`, "closed")
	for _, v := range []View{Front(), Behind(), Look(140, 20)} {
		in.Layers = nil
		bare := kindLength(pictured(in, v), Hinge)
		in.Layers = []Layer{{}, {1, geom.Point3{X: 1}}}
		if h := kindLength(pictured(in, v), Hinge); bare < 5 || !near(h, bare, 1e-9) {
			t.Errorf("%g mm of hinge with a layer, %g without", h, bare)
		}
	}
}

// cornered is a wall at the back of a base, with an ear from either side behind
// it; both ears reach across the whole wall.
func cornered(t *testing.T, width, height float64) Input {
	in := folded(t, fmt.Sprintf(`
w, h = %g, %g
base = panel("base", rect(w, 40))
wall = panel("wall", rect(w, h), on = base.top)
left = panel("left", rect(h, 40), on = base.left)
right = panel("right", rect(h, 40), on = base.right)
first = panel("first", rect(h, w), on = left.top, by = "bottom")
second = panel("second", rect(h, w), on = right.top, by = "bottom")
piece("corner", base, board = board("card", caliper = 0.4))
`, width, height), "closed")
	out := geom.Point3{Y: 1}
	in.Layers = make([]Layer, 6)
	for i, b := range in.Blank.Regions {
		in.Layers[i] = Layer{map[string]int{"second": 1, "wall": 2}[b.Panel.Name], out}
	}
	return in
}

// inward is how far a point of a board has been moved to the inside, and
// its distance from the plane of the base.
func inward(b *plate, p geom.Point) (in, high float64) {
	q := b.place.Apply(p.Space())
	return 40 - q.Y, -q.Z
}

// Law: layers that a hinge holds lean about it: there they stay where they
// were, furthest away they stand as many spacings apart as there are layers, or as
// many parts of a tenth of their reach, which they may lean, and in between each stays on its side of the
// others.
func TestLayersLeanAboutTheirHinge(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	for range 50 {
		w, h := 20+180*r.Float64(), 5+100*r.Float64()
		s := set(cornered(t, w, h))
		boards := map[string]*plate{}
		for _, b := range s.plates {
			boards[b.panel.Name] = b
		}
		most := min(2*LayerSpacing(s.in.Blank), 0.1*h)
		for name, part := range map[string]float64{"first": 0, "second": 0.5, "wall": 1} {
			b, deepest := boards[name], 0.0
			for _, p := range b.hull {
				in, high := inward(b, p)
				deepest = max(deepest, in)
				// A turn shortens what it moves by its cosine, a two-hundredth at most.
				if want := part * most * high / h; !near(in, want, 0.011*most) {
					t.Errorf("%g × %g: a corner of %q has moved by %g at %g, want %g", w, h, name, in, high, want)
				}
			}
			if !near(deepest, part*most, 0.011*most) {
				t.Errorf("%g × %g: %q has moved by %g, want %g", w, h, name, deepest, part*most)
			}
		}
		for _, hinge := range s.hinges() {
			if hinge.child == boards["wall"] {
				for _, c := range hinge.Curves {
					if d := hinge.parent.world(c.P).Dist(hinge.child.world(c.P)); d > 1e-9 {
						t.Errorf("%g × %g: the wall's hinge is open by %g", w, h, d)
					}
				}
			}
		}
	}
}

// The whole wall is hidden behind the ears from outside, and the ears behind the
// wall from inside.
func TestLeaningLayersHideOneAnother(t *testing.T) {
	in := cornered(t, 60, 40)
	s := showing(pictured(in, Look(10, 60)))
	if s["first"] == 0 || s["wall"] > 0.1*s["first"] {
		t.Errorf("from outside: %v", s)
	}
	s = showing(pictured(in, Look(170, -60)))
	if s["wall"] == 0 || s["first"] > 0.1*s["wall"] {
		t.Errorf("from inside: %v", s)
	}
}

// A stack that reaches to both sides of every hinge moves as it is.
func TestAStackAcrossItsHingeMovesAsItIs(t *testing.T) {
	s := set(cornered(t, 60, 40))
	var k stack
	for _, b := range s.plates {
		if b.panel.Name == "wall" {
			k = append(k, b)
		}
	}
	below := *k[0]
	below.place.T.Z -= 20
	above := *k[0]
	above.place.T.Z += 20
	for _, h := range s.hinges() {
		if h.child == k[0] {
			if _, ok := k.axisAlong(h, k[0]); !ok {
				t.Error("a wall alone does not lean")
			}
			if _, ok := (stack{&below, k[0], &above}).axisAlong(h, k[0]); ok {
				t.Error("a stack on both sides of its hinge leans")
			}
		}
	}
}

// A hinge of which windows have left nothing holds no board: the picture of such
// a fault is drawn all the same.
func TestNothingLeansAboutAHingeCutAway(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
a.cut(rect(1, 90).shift(59.5, -5))
piece("corner", a, board = board("card", caliper = 0.4))
`, "closed")
	in.Layers = []Layer{{}, {1, geom.Point3{X: 1}}}
	p := pictured(in, Front())
	if s := showing(p); s["a"] == 0 || s["b"] == 0 || kindLength(p, Hinge) > 0 {
		t.Errorf("seen: %v, %g mm of hinge", s, kindLength(p, Hinge))
	}
}

// In a ring the pair says which of two boards lies outside, whatever their layers
// do, from either side.
func TestRingsDecide(t *testing.T) {
	in := stacked()
	out := geom.Point3{Z: 1}
	in.Layers = []Layer{{1, out}, {2, out}, {0, out}}
	most := func(v View) string {
		s := showing(pictured(in, v))
		return slices.MaxFunc(slices.Sorted(maps.Keys(s)), func(a, b string) int { return cmp.Compare(s[a], s[b]) })
	}
	if a, b := most(Front()), most(Behind()); a != "p2" || b != "p1" {
		t.Errorf("by layers %s is seen from outside and %s from inside", a, b)
	}
	in.Rings = [][2]int{{1, 0}, {0, 2}, {1, 2}}
	if a, b := most(Front()), most(Behind()); a != "p1" || b != "p2" {
		t.Errorf("by the ring %s is seen from outside and %s from inside", a, b)
	}
}

// However deep a stack is, its layers are drawn within eight spacings, evenly.
func TestDeepStacksStayClose(t *testing.T) {
	for _, deepest := range []int{2, 8, 9, 40} {
		in := stacked()
		out := geom.Point3{Z: 1}
		in.Layers = []Layer{{0, out}, {deepest / 2, out}, {deepest, out}}
		spacing := LayerSpacing(in.Blank) * min(1, 8/float64(deepest))
		for i, f := range pictured(in, Front()).projection.faces {
			if z := f.plate.place.T.Z; !near(z, -spacing*float64(in.Layers[i].In), 1e-12) {
				t.Errorf("%d deep: panel %d stands at %g", deepest, i, z)
			}
		}
	}
}

// Law: rounding does not decide whether a plate may take another's lift. A plate
// that would come to lie in the plane of one that it overlaps keeps its own, on
// whichever side of the plane the last bits put it.
func TestMayLiftIgnoresRounding(t *testing.T) {
	out := geom.Point3{Z: 1}
	for _, off := range []float64{-1e-12, 0, 1e-12} {
		in := stacked()
		in.Pose.Place[1].T.Z = off
		in.Layers = []Layer{{0, out}, {1, out}, {2, out}}
		s, err := New(t.Context(), in)
		if err != nil {
			t.Fatal(err)
		}
		// Heights are taken without lifts; New has moved the plates by theirs.
		for _, b := range s.plates {
			b.place.T = b.place.T.Sub(b.lift)
		}
		if a := s.plates[0]; s.mayLift(a, s.plates[1].lift) {
			t.Errorf("%g mm off the plane it may lie in it", off)
		}
	}
}
