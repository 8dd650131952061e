package printer

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/pdf/pdftest"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// given runs a script and gives what the files of its pieces are made from.
func given(t testing.TB, name, text string) []engine.Made {
	t.Helper()
	var out []engine.Made
	engine.Register(emit.KindPrint, func(ctx context.Context, m engine.Made) ([]byte, error) {
		out = append(out, m)
		return Print(ctx, m)
	})
	defer engine.Register(emit.KindPrint, Print)
	res, err := engine.Run(context.Background(), engine.Request{
		Script: name, Read: func(label string) ([]byte, error) {
			if label == name {
				return []byte(text), nil
			}
			return os.ReadFile(filepath.Join("..", "..", "scripts", label))
		},
		Also: []emit.Kind{emit.KindPrint},
	})
	if err != nil || res.Exit != engine.Clean || len(out) == 0 {
		t.Fatal(name, err, res.Findings)
	}
	slices.SortFunc(out, func(a, b engine.Made) int { return a.Index - b.Index })
	return out
}

// examples are the pieces of the example scripts in a folder of "scripts", by script.
func examples(t *testing.T, folder string) map[string][]engine.Made {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "..", "scripts", folder, "*.star"))
	if err != nil || len(files) < 8 {
		t.Fatal(files, err)
	}
	out := map[string][]engine.Made{}
	for _, f := range files {
		name := filepath.Base(f)
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = given(t, name, string(text))
	}
	return out
}

// templateOf is the print template of a piece as it reads back.
func templateOf(t *testing.T, m engine.Made) ([]byte, *pdftest.File) {
	t.Helper()
	file, err := Print(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	f, err := pdftest.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	row, _ := emit.Formats().Of(emit.KindPrint)
	if err := row.Check(context.Background(), file); err != nil {
		t.Error(err)
	}
	return file, f
}

// off is how far read geometry may lie from the model, mm.
const off = 0.01

// Laws, for every piece of the examples: the template is one page whose boxes nest, the
// trim being the blank's box; it has the layers of the line kinds, in their order, each with
// its step and one ink of its own, that overprints; every stroke of the blank is there, in order,
// within 0.01 mm; two runs give the same bytes.
func TestPrintTemplateIsTheBlank(t *testing.T) {
	for _, folder := range []string{"", "library"} {
		for name, pieces := range examples(t, folder) {
			for _, m := range pieces {
				checkTemplate(t, name, m)
			}
		}
	}
}

// checkTemplate holds a template to its blank.
func checkTemplate(t *testing.T, name string, m engine.Made) {
	t.Helper()
	b := m.Blanks[m.Index]
	file, f := templateOf(t, m)
	if again, _ := templateOf(t, m); !bytes.Equal(file, again) || bytes.Contains(file, []byte("Date")) {
		t.Errorf("%s: two runs differ, or the time is in it", name)
	}
	p := f.Pages[0]
	if len(f.Pages) != 1 || !inside(p.Media, p.Bleed) || !inside(p.Bleed, p.Trim.Grow(b.Piece.Bleed-1e-5)) {
		t.Errorf("%s: boxes %v %v %v", name, p.Media, p.Bleed, p.Trim)
	}
	if math.Abs(p.Trim.Width()-b.Bounds.Width()) > 1e-5 || math.Abs(p.Trim.Height()-b.Bounds.Height()) > 1e-5 {
		t.Errorf("%s: the trim is %v for %v", name, p.Trim, b.Bounds)
	}
	checkLayers(t, name, b, f)
	place := geom.Translation(p.Trim.Min.X-b.Bounds.Min.X, p.Trim.Min.Y-b.Bounds.Min.Y)
	for _, l := range b.Layers {
		marks := marksOf(p, string(l.Kind))
		if len(marks) != len(l.Strokes) {
			t.Fatalf("%s: %d of %d strokes", name, len(marks), len(l.Strokes))
		}
		for i, s := range l.Strokes {
			checkStroke(t, name, s, place, marks[i])
		}
	}
}

// Law, for random hinge trees turned any way: the template holds their blank as it does
// that of the examples.
func TestRandomTemplates(t *testing.T) {
	for seed := range int64(outsidetest.Times(t, 25, 500)) {
		rng := rand.New(rand.NewSource(seed))
		k := modeltest.Tree(rng, 2+rng.Intn(40), geom.Rotation(geom.Radians(rng.Float64()*7), geom.Point{}))
		k.Piece.Bleed = float64(rng.Intn(5))
		b, findings, err := blank.Lay(context.Background(), k.Piece, k.Design.Poses)
		if err != nil || len(findings) > 0 {
			t.Fatal(findings, err)
		}
		checkTemplate(t, fmt.Sprint("seed ", seed), engine.Made{Run: emit.Run{Script: "random.star", Design: k.Design, Blanks: []*blank.Blank{b}}})
	}
}

// inside reports whether b lies in a but for rounding.
func inside(a, b geom.Box) bool {
	return a.Grow(1e-5).Contains(b.Min) && a.Grow(1e-5).Contains(b.Max)
}

// marksOf are what is drawn in a layer.
func marksOf(p pdftest.Page, layer string) []pdftest.Mark {
	var out []pdftest.Mark
	for _, m := range p.Marks {
		if m.Layer == layer {
			out = append(out, m)
		}
	}
	return out
}

// checkStroke compares a mark with the stroke that it should be.
func checkStroke(t *testing.T, name string, s blank.Stroke, place geom.Isometry, m pdftest.Mark) {
	t.Helper()
	var want []geom.Curve
	for _, c := range s.Curves {
		want = append(want, c.Transform(place))
	}
	if len(m.Paths) != 1 || m.Paths[0].Closed != s.Closed || m.Filled || m.Dash != nil {
		t.Fatalf("%s: the mark %+v", name, m)
	}
	if d := max(pdftest.Apart(want, m.Paths[0].Curves), pdftest.Apart(m.Paths[0].Curves, want)); d > off {
		t.Errorf("%s: %s is off by %g mm", name, m.Layer, d)
	}
}

// checkLayers holds layers and inks to be those of the blank's line kinds, with artwork
// below and words above.
func checkLayers(t *testing.T, name string, b *blank.Blank, f *pdftest.File) {
	t.Helper()
	want := []pdftest.Layer{{Name: "dimensions", Group: "Dimensions", ScreenOnly: true}, {Name: "legend", Group: "Legend", ScreenOnly: true}}
	for _, l := range slices.Backward(b.Layers) {
		step := pdftest.Layer{Name: string(l.Kind), Group: "Structural", Type: l.Kind.Facts().Structural}
		if step.Type == "" {
			step.Group = "Legend"
		}
		want = append(want, step)
	}
	n := len(f.Layers)
	if n < len(want)+1 || !slices.Equal(f.Layers[:len(want)], want) || f.Layers[n-1] != (pdftest.Layer{Name: "artwork"}) {
		t.Errorf("%s: layers %+v, want %+v", name, f.Layers, want)
	}
	for _, l := range f.Layers[len(want) : n-1] {
		if l.Group != "Structural" || l.Type != map[bool]string{true: "Bleed", false: "Gluing"}[l.Name == "bleed"] || l.ScreenOnly {
			t.Errorf("%s: the layer %+v", name, l)
		}
	}
	for _, m := range f.Pages[0].Marks {
		if m.Layer == "" || m.Ink != m.Layer || !m.Overprint {
			t.Errorf("%s: drawn in the layer %q with the ink %q, overprinting %v", name, m.Layer, m.Ink, m.Overprint)
		}
	}
	if len(f.Inks) != n-1 {
		t.Errorf("%s: %d inks for %d layers", name, len(f.Inks), n)
	}
	for ink, parts := range f.Inks {
		if len(parts) != 4 {
			t.Errorf("%s: the ink %s is %v", name, ink, parts)
		}
	}
}

// Laws of the bleed: no point of its outline is nearer the blank than the bleed, some
// are as near along two thirds of its curves, and it lies in the BleedBox. Without a
// bleed there is neither a layer nor room for it.
func TestBleed(t *testing.T) {
	for _, bleed := range []string{"3", "7.5", "0"} {
		text := strings.Replace(example(t, "tea-carton.star"), "board = card)", "board = card, bleed = "+bleed+")", 1)
		m := given(t, "tea-carton.star", text)[0]
		b := m.Blanks[0]
		_, f := templateOf(t, m)
		p := f.Pages[0]
		marks := marksOf(p, "bleed")
		if geom.Num(b.Piece.Bleed) != bleed {
			t.Fatalf("the bleed is %g", b.Piece.Bleed)
		}
		if bleed == "0" {
			if len(marks) > 0 || p.Bleed.Min.Dist(p.Trim.Min) > 1e-5 || slices.ContainsFunc(f.Layers, func(l pdftest.Layer) bool { return l.Name == "bleed" }) {
				t.Error("there is a bleed of nothing")
			}
			continue
		}
		var rims []geom.Curve
		place := geom.Translation(p.Trim.Min.X-b.Bounds.Min.X, p.Trim.Min.Y-b.Bounds.Min.Y)
		for _, s := range b.Layers[len(b.Layers)-1].Strokes {
			for _, c := range s.Curves {
				rims = append(rims, c.Transform(place))
			}
		}
		samples, close := 0, 0
		for _, m := range marks {
			for _, c := range m.Paths[0].Curves {
				d := nearestOf(rims, c.At(0.5))
				samples++
				if math.Abs(d-b.Piece.Bleed) <= off {
					close++
				}
				if d < b.Piece.Bleed-off || !p.Bleed.Grow(1e-3).Contains(c.At(0.5)) {
					t.Errorf("bleed %s: comes as near as %g mm", bleed, d)
				}
			}
		}
		if len(marks) != 1 || samples < 20 || close < samples*2/3 {
			t.Errorf("bleed %s: %d outlines, %d of %d curves", bleed, len(marks), close, samples)
		}
	}
}

// The bleed of a slender tip is round, and no further from it than the bleed; that of a
// square corner is sharp.
func TestBleedOfTips(t *testing.T) {
	for _, c := range []struct{ high, reach float64 }{{5, 3}, {100, 3 * math.Sqrt2}} {
		p, q, r := geom.Pt(0, 0), geom.Pt(100, 0), geom.Pt(0, c.high)
		ring := []geom.Curve{geom.LineFrom(p, q), geom.LineFrom(q, r), geom.LineFrom(r, p)}
		b := &blank.Blank{Piece: &model.Piece{Bleed: 3}, Bounds: geom.BoxOf(p, q, r), Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{{Curves: ring, Closed: true}}}}}
		rings, err := bleedOf(b)
		if err != nil || len(rings) != 1 {
			t.Fatal(rings, err)
		}
		reach := 0.0
		for _, curve := range rings[0] {
			if p := curve.P; p.X < 0 && p.Y < 0 {
				reach = max(reach, p.Dist(geom.Pt(0, 0)))
			}
		}
		if sharp := c.high > 50; sharp && math.Abs(reach-c.reach) > 1e-6 || !sharp && reach > 3+1e-6 {
			t.Errorf("high %g: the bleed reaches %g mm from the square corner", c.high, reach)
		}
	}
}

func nearestOf(curves []geom.Curve, p geom.Point) float64 {
	best := math.Inf(1)
	for _, c := range curves {
		_, d := c.Nearest(p)
		best = min(best, d)
	}
	return best
}

// sleeve closes round its four panels.
const sleeve = `"""Sleeve #1/A%"""
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
c = panel("c", rect(60, 80), on = b.right)
d = panel("d", rect(40, 80), on = c.right)
tab("t", on = d.right, depth = 12, to = a.left)
piece("sleeve", a, board = board("card", caliper = 0.4))
`

// Glue is outlined and hatched, within its tab; on the inside it is another layer.
func TestGlueOnTemplate(t *testing.T) {
	for side, layer := range map[string]string{"inside": "glue", "outside": "glue-inside"} {
		text := strings.Replace(sleeve, "to = a.left", `to = a.left, side = "`+side+`"`, 1)
		_, f := templateOf(t, given(t, "sleeve.star", text)[0])
		marks := marksOf(f.Pages[0], layer)
		if len(marks) < 30 {
			t.Fatalf("%s: %d marks", side, len(marks))
		}
		rim := geom.EmptyBox()
		for _, c := range marks[0].Paths[0].Curves {
			rim = rim.Union(c.Bounds())
		}
		if math.Abs(rim.Width()-12) > off || math.Abs(rim.Height()-80) > off {
			t.Errorf("%s: the tab is %v", side, rim)
		}
		for _, m := range marks[1:] {
			if c := m.Paths[0].Curves[0]; !inside(rim.Grow(off), c.Bounds()) {
				t.Errorf("%s: %v is hatched", side, c)
			}
		}
	}
}

// The words say what the piece is; every panel with room is named once; letters that the
// font does not have are found all the same.
func TestWordsOnTemplate(t *testing.T) {
	text := strings.NewReplacer("Sleeve", "箱", `panel("a"`, `panel("front (a)"`).Replace(sleeve)
	_, f := templateOf(t, given(t, "sleeve.star", text)[0])
	var words []string
	for _, m := range f.Pages[0].Marks {
		if m.Text != "" {
			words = append(words, m.Text)
		}
	}
	for _, want := range []string{"front (a)", "b", "箱 #1/A%", "sleeve", "Board card, 0.4 mm.", "cut", "folds away from you"} {
		if n := len(slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w != want })); n != 1 && want != "cut" {
			t.Errorf("%q stands there %d times: %q", want, n, words)
		}
	}
	if f.Title != "箱 #1/A% - sleeve" || len(f.Fonts) != 2 {
		t.Errorf("title %q, fonts %v", f.Title, f.Fonts)
	}
}

// checkTrace holds what MuPDF saw of the line kinds to the blank.
func checkTrace(t *testing.T, name string, b *blank.Blank, trim geom.Box, seen []pdftest.Mark) {
	t.Helper()
	place := geom.Translation(trim.Min.X-b.Bounds.Min.X, trim.Min.Y-b.Bounds.Min.Y)
	for _, l := range b.Layers {
		marks := marksOf(pdftest.Page{Marks: seen}, string(l.Kind))
		if len(marks) != len(l.Strokes) {
			t.Fatalf("%s: MuPDF sees %d of %d strokes", name, len(marks), len(l.Strokes))
		}
		for i, s := range l.Strokes {
			if marks[i].Ink != string(l.Kind) || !marks[i].Overprint {
				t.Errorf("%s: MuPDF sees the ink %q in %s, overprinting %v", name, marks[i].Ink, l.Kind, marks[i].Overprint)
			}
			checkStroke(t, name, s, place, marks[i])
		}
	}
}

// A label stands where it should, at its size and angle, as wide as the font says: "HH"
// is two advances of 1479 units of 2048 (Liberation Sans).
func TestLabels(t *testing.T) {
	d := pdf.New("", "")
	l, err := newLettering(d)
	if err != nil {
		t.Fatal(err)
	}
	if w := l.regular.width("HH", 10); math.Abs(w-2*14.79*1000/2048) > 1e-9 {
		t.Errorf("HH is %g mm wide", w)
	}
	if _, low, _, high := l.regular.sfnt.GlyphBounds(l.regular.glyph('H')); low != 0 || math.Abs(l.regular.ems(int(high))-capHeight) > 1e-9 {
		t.Errorf("capitals are from %d to %d units high", low, high)
	}
	p := d.Page(pdf.Boxes{Media: geom.Box{Max: geom.Pt(100, 100)}})
	turn := geom.Degrees(30).Angle()
	want := map[string]geom.Point{}
	for i, anchor := range []preview.Anchor{preview.AtStart, preview.AtMiddle, preview.AtEnd} {
		at, text := geom.Pt(40, 20+20*float64(i)), strings.Repeat("H", i+1)
		l.write(p, label{text: text, size: 5, at: at, angle: turn, anchor: anchor, colour: colourRGB("")})
		want[text] = at.Sub(geom.Polar(float64(i)/2*l.regular.width(text, 5), turn))
	}
	if err := l.embed(d); err != nil {
		t.Fatal(err)
	}
	file, err := d.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	f, err := pdftest.Read(file)
	if err != nil || len(f.Pages[0].Marks) != 3 {
		t.Fatal(f, err)
	}
	for _, m := range f.Pages[0].Marks {
		if m.At.Dist(want[m.Text]) > 1e-4 || math.Abs(m.Size-5) > 1e-4 || m.Angle.Sub(turn).Abs().Radians() > 1e-5 {
			t.Errorf("%s stands at %v, size %g, turned %v", m.Text, m.At, m.Size, m.Angle)
		}
	}
}

// A size half way between two hundredths is rounded as on the drawing sheet, wherever the
// last bits of its measuring fell.
func TestSizesHalfWay(t *testing.T) {
	half := 0.75 * 45.9 // 34.425
	for _, v := range []float64{half, math.Nextafter(half, 0), math.Nextafter(half, 50), half + 3e-9, half - 3e-9} {
		if round2(v) != round2(half) {
			t.Errorf("%.17g is rounded to %g, %.17g to %g", v, round2(v), half, round2(half))
		}
	}
}

// Readers that are not ours (Debian's qpdf, poppler, MuPDF) take every example's template
// without a word and find the words; MuPDF sees the strokes of the blank where they are, in
// their layers and inks, overprinting.
func TestTemplatesInOtherReaders(t *testing.T) {
	emittest.NeedReaders(t)
	for name, pieces := range examples(t, "") {
		for _, m := range pieces {
			file, f := templateOf(t, m)
			path := filepath.Join(t.TempDir(), "print.pdf")
			if err := os.WriteFile(path, file, 0o600); err != nil {
				t.Fatal(err)
			}
			pdftest.Check(t, path)
			checkTrace(t, name, m.Blanks[m.Index], f.Pages[0].Trim, pdftest.Trace(t, path)[0])
			said, err := exec.CommandContext(t.Context(), "pdftotext", "-raw", path, "-").Output()
			if err != nil || !bytes.Contains(said, []byte("\n"+m.Design.Pieces[m.Index].Name+"\n")) {
				t.Errorf("%s: pdftotext says %s, %v", name, said, err)
			}
		}
	}
}
