package emit_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

// readBack is how far a file may lie from its model by the contract; rounding
// to the grid takes half a step each way, 0.71e-4 in all.
const readBack = 1e-4

func readBoth(t *testing.T, b *blank.Blank, inside bool) (svg, dxf emittest.Drawing) {
	t.Helper()
	svg, err := emittest.ParseSVG(svgOf(b, inside))
	if err != nil {
		t.Fatal(err)
	}
	dxf, err = emittest.ParseDXF(dxfOf(b, inside))
	if err != nil {
		t.Fatal(err)
	}
	return svg, dxf
}

// Laws: each file reads back as the blank within 1e-4 mm, and both files as
// the same drawing, in either view.
func TestFilesHoldTheBlank(t *testing.T) {
	for seed := range int64(300) {
		b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		for _, inside := range []bool{false, true} {
			svg, dxf := readBoth(t, b, inside)
			want := emittest.Expected(b, inside)
			if err := emittest.Same(want, svg, readBack); err != nil {
				t.Fatalf("seed %d inside %v: SVG: %v", seed, inside, err)
			}
			if err := emittest.Same(want, dxf, readBack); err != nil {
				t.Fatalf("seed %d inside %v: DXF: %v", seed, inside, err)
			}
			if err := emittest.Same(svg, dxf, 1e-6); err != nil {
				t.Fatalf("seed %d inside %v: SVG against DXF: %v", seed, inside, err)
			}
		}
	}
}

// Law: strokes stay whole. A subpath is closed where the stroke is, each curve
// starts where the last one ends to the digit, a closed stroke of lines and
// arcs is one closed LWPOLYLINE, and one with a curve is consecutive entities
// end to end that come home.
func TestStrokesStayWhole(t *testing.T) {
	for seed := range int64(200) {
		b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		svg, dxf := readBoth(t, b, seed%2 == 0)
		for i, l := range b.Layers {
			entities := dxf.Layers[i].Strokes
			for j, s := range l.Strokes {
				got := svg.Layers[i].Strokes[j]
				if err := unbroken(got.Curves, s.Closed); err != nil || got.Closed != s.Closed {
					t.Fatalf("seed %d: SVG %s stroke %d, closed %v: %v", seed, l.Kind, j, got.Closed, err)
				}
				n := entityCount(entities, len(got.Curves))
				if err := unbroken(emittest.Curves(blank.Layer{Strokes: entities[:n]}), s.Closed); err != nil {
					t.Fatalf("seed %d: DXF %s stroke %d: %v", seed, l.Kind, j, err)
				}
				if one := !hasCubic(s) && s.Closed; one && (n != 1 || !entities[0].Closed) {
					t.Fatalf("seed %d: a closed stroke of lines and arcs is %d entities", seed, n)
				}
				entities = entities[n:]
			}
		}
	}
}

// entityCount is how many of the entities make up so many curves.
func entityCount(entities []blank.Stroke, curves int) int {
	n := 0
	for ; curves > 0; n++ {
		curves -= len(entities[n].Curves)
	}
	return n
}

func hasCubic(s blank.Stroke) bool {
	for _, c := range s.Curves {
		if c.Kind == geom.Cubic {
			return true
		}
	}
	return false
}

func unbroken(curves []geom.Curve, closed bool) error {
	for i, c := range curves {
		if i > 0 && curves[i-1].Q != c.P {
			return fmt.Errorf("curve %d ends at %v, the next starts at %v", i-1, curves[i-1].Q, c.P)
		}
	}
	if last := curves[len(curves)-1]; closed && last.Q != curves[0].P {
		return fmt.Errorf("starts at %v and ends at %v", curves[0].P, last.Q)
	}
	return nil
}

// Law: no arc in a file turns more than a quarter, but for the last digit of
// its rounded ends.
func TestNoArcOverAQuarter(t *testing.T) {
	for seed := range int64(100) {
		b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		for _, l := range b.Layers {
			svg, dxf := readBoth(t, &blank.Blank{Layers: []blank.Layer{l}, Bounds: b.Bounds}, false)
			for _, c := range append(emittest.Curves(svg.Layers[0]), emittest.Curves(dxf.Layers[0])...) {
				if c.Kind == geom.Arc && c.Sweep.Abs().Radians() > math.Pi/2+3e-4/c.R {
					t.Fatalf("seed %d: an arc of radius %v turns %v degrees", seed, c.R, c.Sweep.Degrees())
				}
			}
		}
	}
}

// Law: the inside view is the outside view mirrored left to right, but for half
// a step of rounding in each.
func TestInsideViewMirrors(t *testing.T) {
	for seed := range int64(100) {
		b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		outside, _ := readBoth(t, b, false)
		inside, _ := readBoth(t, b, true)
		mirror := geom.FlipX().Then(geom.Translation(outside.Width, 0))
		for i := range outside.Layers {
			for j := range outside.Layers[i].Strokes {
				for k, c := range outside.Layers[i].Strokes[j].Curves {
					outside.Layers[i].Strokes[j].Curves[k] = c.Transform(mirror)
				}
			}
		}
		if err := emittest.Same(outside, inside, 1.01e-4); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
}

// Law: where the blank lies, and noise in the last bits of its coordinates,
// change no byte.
func TestBytesDoNotDependOnNoise(t *testing.T) {
	rnd := rand.New(rand.NewSource(7))
	// On quarters of the grid, where rounding is least sure of itself.
	pts := make([]geom.Point, 40)
	for i := range pts {
		pts[i] = geom.Pt(float64(rnd.Intn(1<<20))/40000, float64(rnd.Intn(1<<20))/40000)
	}
	plain, noisy := chain(pts, func() float64 { return 0 }), chain(pts, func() float64 { return (rnd.Float64() - 0.5) * 1e-10 })
	if !bytes.Equal(svgOf(plain, false), svgOf(noisy, false)) || !bytes.Equal(dxfOf(plain, true), dxfOf(noisy, true)) {
		t.Error("noise of 1e-10 mm shows in the files")
	}
}

// chain is a blank of one closed cut through the points, moved by noise and
// laid to the origin.
func chain(pts []geom.Point, noise func() float64) *blank.Blank {
	moved := make([]geom.Point, len(pts))
	for i, p := range pts {
		moved[i] = p.Add(geom.Pt(noise(), noise()))
	}
	s := blank.Stroke{Closed: true}
	for i, p := range moved {
		s.Curves = append(s.Curves, geom.LineFrom(p, moved[(i+1)%len(moved)]))
	}
	return &blank.Blank{Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{s}}}, Bounds: geom.BoxOf(moved...)}
}

// Bulge = tan(angle/4), clockwise negative (DXF reference, VERTEX): 90° gives
// 0.41421356, 45° 0.19891237. Ends on the grid's axes keep the digits.
func TestBulges(t *testing.T) {
	for _, c := range []struct {
		degrees float64
		want    string
	}{
		{90, "0.414213562"}, {-90, "-0.414213562"}, {180, "0.414213562"},
	} {
		q := geom.Polar(50, geom.Degrees(c.degrees).Angle())
		b := single(geom.ArcBetween(geom.Pt(50, 0), q, geom.Pt(0, 0), geom.Degrees(c.degrees).Angle()))
		if dxf := dxfOf(b, false); !bytes.Contains(dxf, []byte("\n 42\n"+c.want+"\n")) {
			t.Errorf("%v°: no bulge %s in\n%s", c.degrees, c.want, dxf)
		}
	}
	// The ends of 45° do not lie on the grid: the bulge keeps the radius.
	arc := geom.ArcBetween(geom.Pt(50, 0), geom.Polar(50, geom.Radians(math.Pi/4)), geom.Pt(0, 0), geom.Radians(math.Pi/4))
	_, dxf := readBoth(t, single(arc), false)
	got := dxf.Layers[0].Strokes[0].Curves[0]
	if b := math.Tan(got.Sweep.Radians() / 4); math.Abs(b-0.19891237) > 1e-6 || math.Abs(got.R-50) > 1e-6 {
		t.Errorf("45° of radius 50 reads back as bulge %v, radius %v", b, got.R)
	}
}

func single(c geom.Curve) *blank.Blank {
	return &blank.Blank{
		Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{{Curves: []geom.Curve{c}}}}},
		Bounds: c.Bounds(),
	}
}

// A blank's file has the blank's size: 1 inch is 25.4 mm exactly; ISO 216 A4 is
// 210 × 297 and A5 148 × 210; a 3 × 4 inch panel is 76.2 × 101.6 mm (common
// practice, no source).
func TestFilesHaveTheTrueSize(t *testing.T) {
	const inch = 25.4
	for _, c := range []struct {
		w, h   float64
		header string
	}{
		{210, 297, `width="210.0000mm" height="297.0000mm" viewBox="0 0 210.0000 297.0000"`},
		{148, 210, `width="148.0000mm" height="210.0000mm" viewBox="0 0 148.0000 210.0000"`},
		{3 * inch, 4 * inch, `width="76.2000mm" height="101.6000mm" viewBox="0 0 76.2000 101.6000"`},
	} {
		b := sheet(c.w, c.h)
		if svg := svgOf(b, false); !bytes.Contains(svg, []byte(c.header)) {
			t.Errorf("%v × %v: no %s in\n%s", c.w, c.h, c.header, svg)
		}
		svg, dxf := readBoth(t, b, false)
		if svg.Width != c.w || svg.Height != c.h || dxf.Width != c.w || dxf.Height != c.h {
			t.Errorf("%v × %v is %v × %v in SVG and %v × %v in DXF", c.w, c.h, svg.Width, svg.Height, dxf.Width, dxf.Height)
		}
	}
}

// sheet is a rectangle away from the origin, cut out of nothing.
func sheet(w, h float64) *blank.Blank {
	x, y := -13.37, 1234.5678
	return chain([]geom.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}, func() float64 { return 0 })
}

// What rounds to nothing is left out: a curve without length from its stroke, a
// stroke without curves from its layer, a layer without strokes from the file.
func TestWhatRoundsToNothingIsLeftOut(t *testing.T) {
	p := geom.Pt(5, 5)
	speck := blank.Stroke{Curves: []geom.Curve{geom.LineFrom(p, geom.Pt(5.00001, 5))}}
	line := blank.Stroke{Curves: []geom.Curve{geom.LineFrom(geom.Pt(0, 0), p), speck.Curves[0], geom.LineFrom(geom.Pt(5.00001, 5), geom.Pt(9, 5))}}
	b := &blank.Blank{
		Layers: []blank.Layer{{Kind: blank.ScoreLine, Strokes: []blank.Stroke{speck}}, {Kind: blank.CutLine, Strokes: []blank.Stroke{speck, line}}},
		Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(9, 5)),
	}
	svg, dxf := readBoth(t, b, false)
	for _, d := range []emittest.Drawing{svg, dxf} {
		if len(d.Layers) != 1 || d.Layers[0].Kind != blank.CutLine || len(d.Layers[0].Strokes) != 1 || len(d.Layers[0].Strokes[0].Curves) != 2 {
			t.Errorf("read back %+v", d.Layers)
		}
	}
}

// Ends that the blank joins may differ by up to geom.SnapTolerance in its numbers; the
// stroke comes home all the same.
func TestWeldedStrokesComeHome(t *testing.T) {
	corner, near := geom.Pt(0, 0), geom.Pt(0.0009, 0.0004)
	s := blank.Stroke{Closed: true, Curves: []geom.Curve{
		geom.LineFrom(corner, geom.Pt(30, 0)),
		geom.CubicFrom(geom.Pt(30, 0), geom.Pt(30, 20), geom.Pt(10, 30), near),
	}}
	b := &blank.Blank{Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{s}}}, Bounds: geom.BoxOf(corner, geom.Pt(30, 20))}
	svg, dxf := readBoth(t, b, false)
	for _, d := range []emittest.Drawing{svg, dxf} {
		if got := emittest.Curves(d.Layers[0]); len(got) != 2 || unbroken(got, true) != nil {
			t.Errorf("read back as %v", got)
		}
	}
}

// A quarter arc that carries noise stays one arc; what is clearly more becomes
// two.
func TestQuartersStayWhole(t *testing.T) {
	for sweep, want := range map[float64]int{
		math.Pi / 2: 1, math.Pi/2 + 1e-12: 1, -math.Pi/2 - 1e-12: 1, math.Pi/2 + 1e-6: 2, math.Pi + 1e-12: 2, 2 * math.Pi: 4,
	} {
		svg, _ := readBoth(t, single(geom.ArcFrom(geom.Pt(40, 0), geom.Pt(0, 0), geom.Radians(sweep))), false)
		if got := len(emittest.Curves(svg.Layers[0])); got != want {
			t.Errorf("an arc of %v degrees is written as %d, want %d", geom.Radians(sweep).Degrees(), got, want)
		}
	}
}

// An arc so small that its chord, once rounded, is longer than its diameter is
// written as a half circle.
func TestATinyArcHasABulge(t *testing.T) {
	const r = 4e-5
	c := geom.Pt(2e-5, 2e-5)
	arc := geom.ArcBetween(geom.Pt(c.X+r, c.Y), geom.Pt(c.X, c.Y+r), c, geom.Radians(math.Pi/2))
	far := geom.LineFrom(geom.Pt(c.X, c.Y+r), geom.Pt(10, 10))
	b := &blank.Blank{
		Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{{Curves: []geom.Curve{arc, far}}}}},
		Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(10, 10)),
	}
	if dxf := dxfOf(b, false); !bytes.Contains(dxf, []byte("\n 42\n1.000000000\n")) || bytes.Contains(dxf, []byte("NaN")) {
		t.Errorf("the bulge is not 1:\n%s", dxf[bytes.Index(dxf, []byte("LWPOLYLINE")):][:300])
	}
}
