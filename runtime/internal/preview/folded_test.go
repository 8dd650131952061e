package preview

import (
	"context"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/scene"
	"github.com/creasewright/creasewright/runtime/model"
)

// inPoses is a design with the closed pose of every piece.
func inPoses(in Input) Input {
	for _, b := range in.Blanks {
		folded, err := fold.Fold(context.Background(), b.Piece, in.Design.Poses)
		if err != nil {
			panic(err)
		}
		for _, p := range folded.Poses {
			if p.Pose.Name == "closed" {
				in.Views = append(in.Views, foldedView(scene.Input{Blank: b, Pose: p, StandsOn: ground(b.Piece)}, in.Findings))
			}
		}
	}
	return in
}

// ground is the panel called base; nil for pieces without one.
func ground(p *model.Piece) *model.Panel {
	for _, q := range p.Panels {
		if q.Name == "base" {
			return q
		}
	}
	return nil
}

// findingAt is a finding about the closed tea carton at a place of the blank.
func findingAt(panel string, x, y float64) *diag.Finding {
	return &diag.Finding{
		Rule: "join-gap", Severity: diag.Error, Piece: "tea carton", Panel: panel, Pose: "closed",
		Message: "a gap", At: &geom.Point{X: x, Y: y},
	}
}

// A finding is marked in the picture that shows its spot, once: on the front in
// the first, on the back in the second, and what neither shows in the first.
func TestFoldedSpots(t *testing.T) {
	in := carton()
	in.Findings = []*diag.Finding{
		findingAt("front", 5, 5), findingAt("back", 150, 60), findingAt("lid", 150, 140), findingAt("glue seam", 190, 60),
	}
	in = inPoses(in)
	v := in.Views[0]
	if v.Piece != "tea carton" || v.Title != "closed" || len(v.Aspects) != 2 {
		t.Fatalf("%q of %q, %d aspects", v.Title, v.Piece, len(v.Aspects))
	}
	want := []int{0, 1, 0, 0} // aspect by finding
	n := 0
	for i, a := range v.Aspects {
		for _, s := range a.Spots {
			n++
			for k, f := range in.Findings {
				if f == s.Finding && want[k] != i {
					t.Errorf("finding %d is marked %s", k+1, a.Title)
				}
			}
			if !a.Picture.Bounds.Grow(geom.SnapTolerance).Contains(s.At) {
				t.Errorf("a spot at %v lies off the picture", s.At)
			}
		}
	}
	if n != len(want) {
		t.Errorf("%d spots", n)
	}
}

// Findings of another pose or piece, and those without a place, are no matter
// of the picture.
func TestFoldedSpotsOfOthers(t *testing.T) {
	in := carton()
	other, flat, nowhere := findingAt("front", 5, 5), findingAt("front", 5, 5), findingAt("front", 5, 5)
	other.Piece, flat.Pose, nowhere.At = "mug carton", "shipped", nil
	in.Findings = []*diag.Finding{other, flat, nowhere}
	for _, a := range inPoses(in).Views[0].Aspects {
		if len(a.Spots) != 0 {
			t.Errorf("%d spots %s", len(a.Spots), a.Title)
		}
	}
}

// A panel without a place in the pose is named at the picture; of many only the
// number is told.
func TestWhatAPictureLeavesOut(t *testing.T) {
	in := carton()
	b := in.Blanks[0]
	folded, err := fold.Fold(context.Background(), b.Piece, in.Design.Poses)
	if err != nil {
		t.Fatal(err)
	}
	poses := folded.Poses
	p := poses[len(poses)-1]
	for left, want := range map[int]string{
		0: "tea carton, folded, 1:2", 1: "tea carton, folded, 1:2, without ", 4: "tea carton, folded, 1:2, without 4 panels",
	} {
		for i := range left {
			p.Place[len(p.Place)-1-i].OK = false
		}
		if left == 1 {
			want += b.Piece.Panels[len(b.Piece.Panels)-1].Name
		}
		if got := foldedView(scene.Input{Blank: b, Pose: p}, nil).detail(0.5); got != want {
			t.Errorf("%q, want %q", got, want)
		}
		for i := range p.Place {
			p.Place[i].OK = true
		}
	}
}

// The pictures of a view stand side by side on one line, clear of each other
// and of the caption, the second two scales smaller.
func TestPartsOfAView(t *testing.T) {
	for _, size := range [][3]float64{{70, 120, 45}, {20, 10, 200}, {300, 10, 5}} {
		v := boxView("p", size[0], size[1], size[2], nil)
		fd := layView(v, -1, false, make([][]numbered, 2))
		main, small := fd.parts[0], fd.parts[1]
		if main.m.scale != 0.5 || small.m.scale != 0.25 || strings.Join(small.caption, " ") != "from behind, 1:4" {
			t.Errorf("%v: %g and %g, %q", size, main.m.scale, small.m.scale, small.caption)
		}
		a, b := main.m.box(main.picture.Bounds), small.m.box(small.picture.Bounds)
		if b.Min.X < a.Max.X+partGap-1e-9 || b.Max.Y > small.tile(0).bounds().Min.Y {
			t.Errorf("%v: the small picture at %v, beside %v", size, b, a)
		}
		for _, p := range []geom.Box{a, b, small.tile(0).bounds()} {
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
	v := boxView("p", 70, 120, 45, nil)
	p := v.Aspects[0].Picture // the second's too
	p.Products = []scene.ProductFace{{Rings: [][]geom.Point{p.Faces[0].Rings[0][:3]}}}
	p.Lines = append(p.Lines, scene.Line{Kind: scene.ProductEdge, Points: p.Faces[0].Rings[0][:3]})
	layView(v, 0, false, make([][]numbered, 2)).write(w)
	w.close("svg")
	s := readBack(t, w.bytes())
	if got, want := len(s.strokes), 2*(3+1+6); got != want {
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

// Law: a crease looks on a folded piece as its kind does on the blank.
func TestCreasesLookAsOnTheBlank(t *testing.T) {
	for _, l := range looks {
		v := boxView("p", 70, 120, 45, nil)
		p := v.Aspects[0].Picture
		p.Lines = []scene.Line{{Kind: scene.Hinge, Work: l.kind, Points: p.Faces[0].Rings[0][:2]}}
		w := &writer{}
		w.open("svg", "viewBox", "0 0 300 300")
		layView(v, 0, false, make([][]numbered, 2)).write(w)
		w.close("svg")
		n := 0
		for _, s := range readBack(t, w.bytes()).strokes {
			if s.kv["stroke"] == l.pen.colour && (s.kv["stroke-dasharray"] != "") == (l.pen.dash != nil) {
				n++
			}
		}
		if n != 2 {
			t.Errorf("%s: %d of 2 pictures show it", l.kind, n)
		}
	}
}
