package preview

import (
	"context"
	"math"
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

// Law: along each axis the sizes from hinge to hinge add up to the overall one.
func TestChainsAddUp(t *testing.T) {
	for name, in := range designs() {
		for _, b := range in.Blanks {
			for _, a := range []axis{{upright: false}, {upright: true}} {
				stops := a.stations(b, 0.5)
				lo, _ := a.split(b.Bounds.Min)
				hi, _ := a.split(b.Bounds.Max)
				if stops[0] != lo || stops[len(stops)-1] != hi {
					t.Errorf("%s: stations %v do not span %g to %g", name, stops, lo, hi)
				}
				for i := 1; i < len(stops); i++ {
					if stops[i] <= stops[i-1] {
						t.Errorf("%s: stations %v do not rise", name, stops)
					}
				}
			}
		}
	}
}

// By hand: the sleeve is divided at its four scores across, and not up.
func TestStationsOfTheSleeve(t *testing.T) {
	b := sleeve().Blanks[0]
	across, up := axis{}.stations(b, 1), axis{upright: true}.stations(b, 1)
	want := []float64{-28, 0, 60, 88, 148, 160}
	if len(across) != len(want) || len(up) != 2 {
		t.Fatalf("%v and %v", across, up)
	}
	for i := range want {
		if math.Abs(across[i]-want[i]) > 1e-9 {
			t.Errorf("station %d at %g, want %g", i, across[i], want[i])
		}
	}
	if tight := (axis{}).stations(b, 0.02); len(tight) != 2 {
		t.Errorf("at 1:50 no figure has room between hinges: %v", tight)
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
