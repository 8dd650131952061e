package preview

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// The pictures of a view stand side by side on one line, clear of each other
// and of the caption, the second two scales smaller.
func TestPartsOfAView(t *testing.T) {
	for _, size := range [][3]float64{{70, 120, 45}, {20, 10, 200}, {300, 10, 5}} {
		v := boxView("p", size[0], size[1], size[2], nil)
		fd := layView(v, -1, make([][]spotted, 2))
		main, small := fd.parts[0], fd.parts[1]
		if main.m.scale != 0.5 || small.m.scale != 0.25 || small.caption != "from behind, 1:4" {
			t.Errorf("%v: %g and %g, %q", size, main.m.scale, small.m.scale, small.caption)
		}
		a, b := main.m.box(main.picture.Bounds), small.m.box(small.picture.Bounds)
		if b.Min.X < a.Max.X+partGap-1e-9 || b.Max.Y > small.tile().bounds().Min.Y {
			t.Errorf("%v: the small picture at %v, beside %v", size, b, a)
		}
		for _, p := range []geom.Box{a, b, small.tile().bounds()} {
			if !fd.extent.Contains(p.Min) || !fd.extent.Contains(p.Max) {
				t.Errorf("%v: %v lies outside the extent %v", size, p, fd.extent)
			}
		}
	}
}

// Every face is a path of its own, and every kind of line that occurs one path.
func TestFoldedIsDrawn(t *testing.T) {
	w := &writer{}
	w.open("svg", "viewBox", "0 0 300 300")
	layView(boxView("p", 70, 120, 45, nil), 0, make([][]spotted, 2)).write(w)
	w.close("svg")
	s := readBack(t, w.bytes())
	if got, want := len(s.strokes), 2*(3+5); got != want {
		t.Errorf("%d paths, want %d", got, want)
	}
	for _, k := range foldedLines {
		n := 0
		for _, p := range s.strokes {
			if p.kv["fill"] == "none" && p.kv["stroke"] == foldedPens[k].colour {
				n++
			}
		}
		if n != 2 {
			t.Errorf("line kind %d is drawn %d times in two pictures", k, n)
		}
	}
}

// Law: less light makes a colour darker, full light leaves it, and the two sides
// of the board are told apart however the light falls: an outside in the
// deepest shade is still less yellow than an inside in full light.
func TestShaded(t *testing.T) {
	if got := shaded("#F3EDE1", 1); got != "#F3EDE1" {
		t.Errorf("full light makes %s", got)
	}
	if got := shaded("#80FF00", 0.5); got != "#408000" {
		t.Errorf("half light makes %s", got)
	}
	blue := func(colour string) string { return colour[5:] }
	darkOutside := shaded(sideColours[scene.Outside], darkest)
	lightInside := shaded(sideColours[scene.Inside], 1)
	if blue(darkOutside) <= blue(lightInside) {
		t.Errorf("outside in the shade %s, inside in the light %s", darkOutside, lightInside)
	}
}
