package scene

import (
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

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
	for i, b := range in.Blank.Sheets {
		in.Layers[i] = Layer{map[string]int{"second": 1, "wall": 2}[b.Panel.Name], out}
	}
	return in
}

// inward is how far a point of a board has been moved to the inside, and
// its distance from the plane of the base.
func inward(b *sheet, p geom.Point) (in, high float64) {
	q := b.place.Apply(p.Space())
	return 40 - q.Y, -q.Z
}

// Law: layers that a hinge holds lean about it: there they stay where they
// were, furthest away they stand as many hairs apart as there are layers, or as
// many parts of what they may lean, and in between each stays on its side of the
// others.
func TestLayersLeanAboutTheirHinge(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	for range 50 {
		w, h := 20+180*r.Float64(), 5+100*r.Float64()
		s := set(cornered(t, w, h))
		boards := map[string]*sheet{}
		for _, b := range s.boards {
			boards[b.panel.Name] = b
		}
		most := min(2*Hair(s.in.Blank), leanMost*h)
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
	for _, b := range s.boards {
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
			if _, ok := k.about(h, k[0]); !ok {
				t.Error("a wall alone does not lean")
			}
			if _, ok := (stack{&below, k[0], &above}).about(h, k[0]); ok {
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
