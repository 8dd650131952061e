package preview

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

// laid is a design's first blank laid out at a scale, without findings.
func laid(in Input, scale float64) *flatPicture {
	return layFlat(context.Background(), in.Blanks[0], nil, scale, nil, nil)
}

// Law: every figure is the length of its line on the paper over the scale, to
// the hundredth it is written to, whatever the scale.
func TestFiguresMeasureTheirLines(t *testing.T) {
	for name, in := range designs() {
		if len(in.Blanks) == 0 {
			continue
		}
		for _, scale := range []float64{5, 1, 0.5, 0.1} {
			for _, l := range laid(in, scale).dims.lines {
				if want := dimText(l.p.Dist(l.q) / scale); l.label.text != want {
					t.Errorf("%s at %g: %s stands on a line of %s", name, scale, l.label.text, want)
				}
			}
		}
	}
}

// Law: every stretch of a chain is the extent of a panel along the axis, and no
// hinge lies within it that joins panels of the chain.
func TestChainsAreMadeOfPanels(t *testing.T) {
	for name, in := range designs() {
		for _, b := range in.Blanks {
			boxes := boardBoxes(b)
			for _, a := range []axis{{upright: false}, {upright: true}} {
				for _, k := range a.chains(b, boxes) {
					for i := 1; i < len(k.stops); i++ {
						if !slices.ContainsFunc(boxes, func(box geom.Box) bool {
							lo, _ := a.split(box.Min)
							hi, _ := a.split(box.Max)
							return math.Abs(lo-k.stops[i-1]) < sameStation && math.Abs(hi-k.stops[i]) < sameStation
						}) {
							t.Errorf("%s: no panel lies from %g to %g", name, k.stops[i-1], k.stops[i])
						}
					}
				}
			}
		}
	}
}

// By hand: the sleeve is a run of five panels across and none up; the carton has its
// walls across, and up the back with its lids and tucks, and then a wall with its dust
// flaps.
func TestChainsOfTwoDesigns(t *testing.T) {
	for _, c := range []struct {
		in         Input
		across, up [][]float64
	}{
		{sleeve(), [][]float64{{-28, 0, 60, 88, 148, 160}}, nil},
		{carton(), [][]float64{{-45, 0, 70, 115, 185, 199}}, [][]float64{{-60, -45, 0, 120, 165, 180}, {-30, 0, 120, 150}}},
	} {
		b := c.in.Blanks[0]
		for upright, want := range map[bool][][]float64{false: c.across, true: c.up} {
			got := axis{upright: upright}.chains(b, boardBoxes(b))
			if len(got) != len(want) {
				t.Errorf("%s: %d chains, want %d", b.Piece.Name, len(got), len(want))
				continue
			}
			for i, k := range got {
				if !slices.EqualFunc(k.stops, want[i], func(p, q float64) bool { return math.Abs(p-q) < 1e-9 }) {
					t.Errorf("%s: %v, want %v", b.Piece.Name, k.stops, want[i])
				}
			}
		}
	}
}

// Law: extension lines start clear of the board and cross none of it.
func TestExtensionLinesStayOffTheBoard(t *testing.T) {
	for name, in := range designs() {
		if len(in.Blanks) == 0 {
			continue
		}
		fl := laid(in, 0.5)
		for _, s := range fl.dims.ext {
			for _, sheet := range fl.regions {
				for i := range 21 {
					if p := s.a.Lerp(s.b, float64(i)/20); sheet.box.Contains(p) && sheet.contains(p) {
						t.Fatalf("%s: the extension line %v crosses board at %v", name, s, p)
					}
				}
			}
		}
	}
}

// A blank whose panels' boundaries could not be traced is drawn all the same.
func TestBlankWithoutSheets(t *testing.T) {
	in := sleeve()
	for i := range in.Blanks[0].Regions {
		in.Blanks[0].Regions[i].Rings = nil
	}
	fl := laid(in, 1)
	if box := fl.m.box(fl.blank.Bounds).Grow(30); !box.Contains(fl.extent.Min) || !box.Contains(fl.extent.Max) {
		t.Errorf("the drawing takes up %v", fl.extent)
	}
	in.Findings = []*diag.Finding{{Piece: "sleeve", Panel: "top", Message: "panel lost"}}
	if s := readBack(t, svg(in)); len(s.discs) != 1 {
		t.Errorf("%d marks for a finding about a panel without board", len(s.discs))
	}
}

// The carton's lid and base stand at its right end, so its heights are measured
// there; the sleeve keeps to the usual place, left.
func TestDimensionsGoWhereTheyAreShort(t *testing.T) {
	side := func(in Input) string {
		fl := laid(in, 0.5)
		box := fl.m.box(fl.blank.Bounds)
		for _, l := range fl.dims.lines {
			if l.label.angle != 0 && l.p.X > box.Max.X {
				return "right"
			}
		}
		return "left"
	}
	if side(carton()) != "right" || side(sleeve()) != "left" {
		t.Errorf("carton %s, sleeve %s", side(carton()), side(sleeve()))
	}
}

// A figure without room between its ticks stands beyond them, on a line run on.
func TestShortStretch(t *testing.T) {
	fl := laid(block("strip", 900, 12), 0.2)
	if len(fl.dims.runOn) != 1 {
		t.Fatalf("%d lines run on", len(fl.dims.runOn))
	}
	for _, l := range fl.dims.lines {
		if l.label.text == "12" && l.label.mid.Y > math.Min(l.p.Y, l.q.Y) {
			t.Errorf("12 stands at %v, between %v and %v", l.label.mid, l.p, l.q)
		}
	}
}

func TestDimText(t *testing.T) {
	for v, want := range map[float64]string{90: "90", 76.2: "76.2", 355.605: "355.61", 0.004: "0"} {
		if got := dimText(v); got != want {
			t.Errorf("%g is written %s, want %s", v, got, want)
		}
	}
}

// Outward is down below the blank, left beside it, and the other way on the far
// side.
func TestAxisOutward(t *testing.T) {
	for a, want := range map[axis]float64{{false, false}: 6, {false, true}: 4, {true, false}: 4, {true, true}: 6} {
		if got := a.outward(5, 1); got != want {
			t.Errorf("%+v: %g, want %g", a, got, want)
		}
		if got := a.outer(4, 6); got != want {
			t.Errorf("%+v: the outer of 4 and 6 is %g", a, got)
		}
		if along, across := a.split(a.point(1, 2)); along != 1 || across != 2 {
			t.Errorf("%+v: point and split do not agree", a)
		}
	}
	if (axis{}).point(1, 2) != geom.Pt(1, 2) {
		t.Error("the level axis runs along x")
	}
}
