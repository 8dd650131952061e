package preview

import (
	"context"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// leaning is a panel with two sides of 50 mm that lean 3 in 4, a round window of
// 12 mm and a square one with corners of 3 mm.
func leaning(t *testing.T) *blank.Blank {
	t.Helper()
	outline := mt.Outline(geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(70, 40), geom.Pt(30, 40))
	piece := mt.Assemble([]mt.Cell{{Name: "a", Outline: outline}}, nil).Pieces[0]
	square, err := mt.Rect(65, 5, 10, 10).Round(3, nil)
	if err != nil {
		t.Fatal(err)
	}
	a := piece.Panels[0]
	a.Windows = append(a.Windows,
		&model.Window{Panel: a, Outline: mt.Disc(50, 20, 6), Site: mt.At(3)},
		&model.Window{Panel: a, Outline: square, Site: mt.At(4)})
	b, _, _ := blank.Lay(context.Background(), piece, nil)
	return b
}

// Slanting lines of panels, arcs and circles have their figures, each once, the
// longest line's first; what runs along the axes is left to the dimension lines.
func TestSizesOfABlank(t *testing.T) {
	b := leaning(t)
	var got []string
	for _, s := range sizesOf(t.Context(), b, placeAt(1, b.Bounds, geom.Point{})) {
		got = append(got, s.text)
		if s.text == "50" && len(s.lines) != 2 {
			t.Errorf("%d lines are 50 mm long", len(s.lines))
		}
	}
	if want := []string{"50", "Ø12", "R3"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	b.Regions[0].Panel.Role = model.FlapRole
	if all := sizesOf(t.Context(), b, placeAt(1, b.Bounds, geom.Point{})); len(all) != 2 || !all[0].circle || all[1].text != "R3" {
		t.Errorf("a flap's slanting sides are measured: %v", all)
	}
	b.Regions[0].Panel.Role = model.Plain
	if all := sizesOf(t.Context(), b, placeAt(0.05, b.Bounds, geom.Point{})); len(all) != 1 {
		t.Errorf("lines of 2.5 mm on the paper are measured: %v", all)
	}
}

// The figure of a circle stands in it or beside it; that of a contour off the board.
func TestSizesStandAtTheirLines(t *testing.T) {
	for _, scale := range []float64{1, 0.3} {
		fl := layFlat(context.Background(), leaning(t), nil, scale, nil, nil)
		for _, l := range fl.labels {
			mid := fl.m.point(geom.Pt(50, 20))
			switch far := l.mid.Dist(mid); {
			case l.text == "Ø12" && far > 6*scale+6:
				t.Errorf("at scale %g the figure stands %g mm off the middle of its circle", scale, far)
			case l.text == "50" && fl.regions[0].contains(l.mid):
				t.Errorf("the length of a contour stands on the board, at %v", l.mid)
			}
		}
		if !slices.ContainsFunc(fl.labels, func(l label) bool { return l.text == "50" }) {
			t.Errorf("at scale %g the length is missing", scale)
		}
	}
}

// By hand: the round window's middle is 50 mm from the left and 20 from below, and the
// square one, 5 mm from below, stands 25 from the right where its size is written.
func TestWindowsArePlaced(t *testing.T) {
	fl := layFlat(context.Background(), leaning(t), nil, 2, nil, nil)
	var got []string
	for _, l := range fl.openings.lines {
		got = append(got, l.label.text)
	}
	if want := []string{"20", "50", "25", "5"}; len(got) == 0 || slices.ContainsFunc(got, func(s string) bool { return !slices.Contains(want, s) }) {
		t.Errorf("%q, want some of %q", got, want)
	}
	if !slices.ContainsFunc(fl.labels, func(l label) bool { return l.text == "10 × 10" }) {
		t.Error("nothing tells the size of the square window")
	}
	var list []string
	for _, p := range panelSizes(fl.blank) {
		list = append(list, p.openings...)
	}
	if want := []string{"Ø12, its middle: 50 from left, 20 from bottom", "10 × 10: 65 from left, 5 from bottom"}; !slices.Equal(list, want) {
		t.Errorf("%q, want %q", list, want)
	}
}

// Openings in rows and columns are told by the distances of these, others one by one.
func TestPlacesText(t *testing.T) {
	for want, at := range map[string][]geom.Point{
		"5 from left, 7 from bottom":                              {{X: 5, Y: 7}},
		"5 and 15 from left, 7 and 9 from bottom":                 {{X: 15, Y: 7}, {X: 5, Y: 9}, {X: 5, Y: 7}, {X: 15, Y: 9}},
		"5 from left, 7 from bottom; 15 from left, 9 from bottom": {{X: 5, Y: 7}, {X: 15, Y: 9}},
	} {
		if got := placesText(at); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// What stands out has a minus, what is flush to the hundredth none.
func TestSignedText(t *testing.T) {
	for v, want := range map[float64]string{1: "1", -0.45: "−0.45", 0: "0", -0.001: "0"} {
		if got := signedText(v); got != want {
			t.Errorf("%g is %q", v, got)
		}
	}
}
