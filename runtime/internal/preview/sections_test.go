package preview

import (
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// said is what rows write, in order.
func said(t *testing.T, rows []row) []string {
	t.Helper()
	w := &writer{}
	w.open("svg", "viewBox", "0 0 100 100")
	for _, r := range rows {
		r.draw(w, geom.Point{})
	}
	w.close("svg")
	var out []string
	for _, x := range readBack(t, w.bytes()).texts {
		out = append(out, x.text)
	}
	return out
}

func TestAreaAndMass(t *testing.T) {
	for v, want := range map[float64]string{0: "0 mm²", 12.5: "12.5 mm²", 999.4: "999.4 mm²", 16300.5: "163 cm²", 1.44e6: "1.44 m²", 123456789: "123.5 m²"} {
		if got := areaText(v); got != want {
			t.Errorf("%g mm² is written %s, want %s", v, got, want)
		}
	}
	for v, want := range map[float64]string{0.06: "0.06 g", 4.0751: "4.075 g", 999.95: "1000 g", 1050: "1.05 kg"} {
		if got := massText(v); got != want {
			t.Errorf("%g g is written %s, want %s", v, got, want)
		}
	}
}

func TestValueText(t *testing.T) {
	for _, c := range []struct {
		v    any
		want string
	}{{90.0, "90"}, {0.1 + 0.2, "0.3"}, {int64(7), "7"}, {true, "True"}, {false, "False"}, {"te\u202ea", `te\u{202e}a`}} {
		if got := valueText(c.v); got != c.want {
			t.Errorf("%v is written %s, want %s", c.v, got, c.want)
		}
	}
}

// A parameter that was set says what it is instead of.
func TestParameters(t *testing.T) {
	in := Input{Design: &model.Design{Params: []model.Param{
		{Name: "length", Value: 120.0, Default: 90.0}, {Name: "width", Value: 60.0, Default: 60.0}, {Name: "note", Value: "", Default: ""},
	}}}
	got := said(t, paramSection(in, columnWidth).rows)
	want := []string{"length", "120", "instead of 90", "width", "60", "note", `""`}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for i := range mostParams + 5 {
		in.Design.Params = append(in.Design.Params, model.Param{Name: fmt.Sprint("p", i), Value: int64(i), Default: int64(i)})
	}
	if got := said(t, paramSection(in, columnWidth).rows); got[len(got)-1] != "and 8 more" {
		t.Errorf("the last row says %q", got[len(got)-1])
	}
}

// Pieces of one board tell it once; different boards are lettered.
func TestBoards(t *testing.T) {
	one, two := pieceSections(sleeve(), columnWidth), pieceSections(set(), columnWidth)
	if len(one) != 2 || one[1].heading != "Board" {
		t.Errorf("%d sections", len(one))
	}
	var heads []string
	for _, s := range two {
		heads = append(heads, s.heading)
	}
	if want := []string{"tray", "lid", "band", "label", "Board A", "Board B"}; !slices.Equal(heads, want) {
		t.Errorf("%q, want %q", heads, want)
	}
	if got := said(t, two[3].rows); !slices.Contains(got, "B") || slices.Contains(got, "mass") {
		t.Errorf("the label says %q", got)
	}
}

// A piece worked from the inside says that its cut files are mirrored.
func TestWorkedFromTheInside(t *testing.T) {
	b := sleeve().Blanks[0]
	b.Piece.Inside = true
	if got := strings.Join(said(t, pieceFacts(b, "90°", columnWidth)), " "); !strings.Contains(got, "mirrored") {
		t.Error(got)
	}
}

// Law: a title is set whole in the largest style that holds it on four lines, and is
// cut only where the smallest does not; no line is wider than the column.
func TestTitleStyles(t *testing.T) {
	rng := rand.New(rand.NewSource(71))
	used := map[float64]int{}
	for range 300 {
		var words []string
		for range 1 + rng.Intn(30) {
			words = append(words, strings.Repeat("n", 1+rng.Intn(9)))
		}
		title := strings.Join(words, " ")
		lines, style := setTitle(title, columnWidth)
		for _, l := range lines {
			if w := style.width(l); w > columnWidth {
				t.Fatalf("%q is %g mm wide", l, w)
			}
		}
		whole := strings.Join(lines, " ") == title
		if used[style.size]++; !whole {
			used[0]++
		}
		for _, s := range titleStyles {
			if fits := len(s.wrap(title, columnWidth)) <= mostTitle; s.size > style.size && fits || s.size == style.size && fits != whole || s.size < style.size && !whole {
				t.Fatalf("%q is set in %g mm as %q", title, style.size, lines)
			}
		}
	}
	if len(used) != len(titleStyles)+1 {
		t.Errorf("titles by size, and cut: %v", used)
	}
}

// A title is cut after four lines, and a script without one is named instead.
func TestTitle(t *testing.T) {
	in := Input{Script: "a.star", Design: &model.Design{Title: strings.Repeat("very long title ", 40)}}
	if got := said(t, titleSection(in, columnWidth).rows); len(got) != mostTitle+1 || !strings.HasSuffix(got[mostTitle-1], "…") {
		t.Errorf("%q", got)
	}
	if got := said(t, titleSection(Input{Script: "a.star"}, columnWidth).rows); got[0] != "a.star" {
		t.Errorf("%q", got)
	}
}

// Each caution is printed, once.
func TestCautions(t *testing.T) {
	in := Input{Cautions: []string{"Suitability for food contact not assessed.", "Not tested for strength."}}
	got := strings.Join(said(t, cautionSection(in, columnWidth).rows), " ")
	if got != strings.Join(in.Cautions, " ") {
		t.Error(got)
	}
}

// The styles: no two kinds alike in colour or in pattern, but for the two
// continuous lines, wide and narrow, as ISO 128-2 has them.
func TestLooksDiffer(t *testing.T) {
	colours, patterns := map[string]blank.Kind{}, map[string]blank.Kind{}
	for _, l := range looks {
		if o, ok := colours[l.pen.colour]; ok {
			t.Errorf("%s and %s share a colour", l.kind, o)
		}
		colours[l.pen.colour] = l.kind
		pattern := fmt.Sprint(l.pen.dash)
		if o, ok := patterns[pattern]; ok && (o != blank.DrawnLine || l.kind != blank.CutLine) {
			t.Errorf("%s and %s share a pattern", l.kind, o)
		}
		patterns[pattern] = l.kind
	}
	for _, k := range blank.Kinds() {
		if !slices.ContainsFunc(looks, func(l lineStyle) bool { return l.kind == k }) {
			t.Errorf("%s has no look", k)
		}
	}
}
