package emittest_test

import (
	"context"
	"image"
	"image/color"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

// slot is a round-ended slot of four curves, 30 × 10 mm.
func slot() *blank.Blank {
	pt := geom.Pt
	return &blank.Blank{
		Bounds: geom.BoxOf(pt(-5, 0), pt(25, 10)),
		Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{{Closed: true, Curves: []geom.Curve{
			geom.LineFrom(pt(0, 0), pt(20, 0)), geom.ArcBetween(pt(20, 0), pt(20, 10), pt(20, 5), geom.Radians(math.Pi)),
			geom.LineFrom(pt(20, 10), pt(0, 10)), geom.ArcBetween(pt(0, 10), pt(0, 0), pt(0, 5), geom.Radians(math.Pi)),
		}}}}},
	}
}

func written(t *testing.T, write func(context.Context, *blank.Blank, bool) ([]byte, error)) string {
	text, err := write(t.Context(), slot(), false)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A reader that lets everything pass proves nothing: each of these changes to
// a good file must be refused.
func TestParsersAreStrict(t *testing.T) {
	svg, dxf := written(t, emit.SVG), written(t, emit.DXF)
	for _, c := range []struct{ file, from, to string }{
		{svg, `viewBox="0 0 30.0000`, `viewBox="0 0 30.0001`},
		{svg, `width="30.0000mm"`, `width="30.0000"`},
		{svg, ` L 25.0000`, ` L 25.000`},
		{svg, ` L 25.0000`, ` L 2.5e1`},
		{svg, `M 5.0000 10.0000`, `M -0.0000 10.0000`},
		{svg, `5.000000000 0 0 0 `, `5.000000000 0 1 0 `},
		{svg, `A 5.000000000 5.000000000`, `A 5.000000000 5.100000000`},
		{svg, ` L 25.0000 10.0000`, ` H 25.0000`},
		{svg, ` Z`, ` Z L 1.0000 1.0000`},
		{svg, `<g id="cut"`, `<g id="cut" transform="scale(2)"`},
		{svg, `<path d`, `<path style="fill:red" d`},
		{svg, `</g>`, `<text>cut</text></g>`},
		{svg, `</g>`, `<path d="M 0.0000 0.0000"/></g>`},
		{svg, `</svg>`, `<!-- today --></svg>`},
		{dxf, "$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1"},
		{dxf, "AC1015", "AC1009"},
		{dxf, "  9\n$MEASUREMENT", "  9\n$TDCREATE\n 40\n2450000.0\n  9\n$MEASUREMENT"},
		{dxf, "  0\nSECTION\n  2\nCLASSES\n", "  0\nSECTION\n  2\nCLASSE\n"},
		{dxf, "  8\ncut\n100\nAcDbPolyline", "  8\nfold\n100\nAcDbPolyline"},
		{dxf, " 90\n6\n", " 90\n5\n"},
		{dxf, " 42\n0.414213562", " 42\n0.4142"},
		{dxf, "LWPOLYLINE\n  5\n20", "LWPOLYLINE\n  5\nFFF"},
		{dxf, "LWPOLYLINE\n  5\n20", "LWPOLYLINE\n  5\n1E"},
		{dxf, "390\n16", "390\nAB"},
		{dxf, "\n  0\nEOF", ""},
	} {
		bad := strings.Replace(c.file, c.from, c.to, 1)
		if bad == c.file {
			t.Errorf("nothing to change: no %q", c.from)
			continue
		}
		var err error
		if c.file == svg {
			_, err = emittest.ParseSVG([]byte(bad))
		} else {
			_, err = emittest.ParseDXF([]byte(bad))
		}
		if err == nil {
			t.Errorf("%q for %q passes", c.to, c.from)
		}
	}
}

// Same must see a move of a tenth of a millimetre, another sort of curve,
// another radius, another kind of line.
func TestSameTellsDrawingsApart(t *testing.T) {
	want := emittest.Expected(slot(), false)
	if err := emittest.Same(want, emittest.Expected(slot(), false), 1e-4); err != nil {
		t.Fatal(err)
	}
	curves := func(d emittest.Drawing) []geom.Curve { return d.Layers[0].Strokes[0].Curves }
	for name, change := range map[string]func(*emittest.Drawing){
		"size":    func(d *emittest.Drawing) { d.Width += 0.1 },
		"kind":    func(d *emittest.Drawing) { d.Layers[0].Kind = blank.ScoreLine },
		"missing": func(d *emittest.Drawing) { d.Layers[0].Strokes[0].Curves = curves(*d)[1:] },
		"moved":   func(d *emittest.Drawing) { curves(*d)[0].Q.X += 0.1 },
		"sort":    func(d *emittest.Drawing) { c := curves(*d); c[1] = geom.LineFrom(c[1].P, c[1].Q) },
		"radius":  func(d *emittest.Drawing) { curves(*d)[1].R += 0.1 },
		"turn":    func(d *emittest.Drawing) { curves(*d)[1].Sweep = curves(*d)[1].Sweep.Neg() },
	} {
		d := emittest.Expected(slot(), false)
		change(&d)
		if emittest.Same(want, d, 1e-4) == nil {
			t.Errorf("%s: not seen", name)
		}
	}
}

// The inside view flips left and right: the slot is its own mirror image, a
// line to its left is not.
func TestExpectedMirrors(t *testing.T) {
	b := slot()
	b.Layers = append(b.Layers, blank.Layer{Kind: blank.DrawnLine, Strokes: []blank.Stroke{{Curves: []geom.Curve{geom.LineFrom(geom.Pt(0, 2), geom.Pt(1, 3))}}}})
	got := emittest.Expected(b, true).Layers[1].Strokes[0].Curves[0]
	if got != geom.LineFrom(geom.Pt(25, 2), geom.Pt(24, 3)) {
		t.Errorf("line becomes %v", got)
	}
}

// CheckInk must see a picture that is shifted, empty or blotted.
func TestCheckInkSeesFaults(t *testing.T) {
	d := emittest.Expected(slot(), false)
	if err := emittest.CheckInk(paint(d, 0), d); err != nil {
		t.Errorf("a true picture is refused: %v", err)
	}
	if emittest.CheckInk(paint(d, 4), d) == nil {
		t.Error("a shift of four pixels is not seen")
	}
	if emittest.CheckInk(paint(emittest.Drawing{Width: 30, Height: 10}, 0), d) == nil {
		t.Error("an empty picture is not seen")
	}
	blot := paint(d, 0)
	for x := 100; x < 200; x++ {
		for y := 30; y < 70; y++ {
			blot.SetGray(x, y, color.Gray{})
		}
	}
	if emittest.CheckInk(blot, d) == nil {
		t.Error("a blot is not seen")
	}
}

// paint draws the curves as dots, shifted to the right by some pixels.
func paint(d emittest.Drawing, shift int) *image.Gray {
	img := image.NewGray(image.Rect(0, 0, int(d.Width*emittest.PixelsPerMM)+20, int(d.Height*emittest.PixelsPerMM)+20))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for _, l := range d.Layers {
		for _, c := range emittest.Curves(l) {
			for i := range 1001 {
				p := c.At(float64(i) / 1000)
				img.SetGray(int(p.X*emittest.PixelsPerMM)+shift, int((d.Height-p.Y)*emittest.PixelsPerMM), color.Gray{})
			}
		}
	}
	return img
}

// Random blanks are the same for the same seed and hold what they should: all
// three sorts of curve, open and closed strokes.
func TestRandomBlanks(t *testing.T) {
	kinds, closed := map[geom.Kind]bool{}, map[bool]bool{}
	for seed := range int64(30) {
		a, b := emittest.RandomBlank(rand.New(rand.NewSource(seed))), emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		if err := emittest.Same(emittest.Expected(a, false), emittest.Expected(b, false), 0); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		for _, l := range a.Layers {
			for _, s := range l.Strokes {
				closed[s.Closed] = true
				for _, c := range s.Curves {
					kinds[c.Kind] = true
				}
			}
		}
	}
	if len(kinds) != 3 || len(closed) != 2 {
		t.Errorf("only %v and closed %v", kinds, closed)
	}
}
