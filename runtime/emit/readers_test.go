package emit_test

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
)

// readerBlanks are what the outside readers are given: random blanks and
// figures of known size.
func readerBlanks() []*blank.Blank {
	out := []*blank.Blank{sheet(210, 297), sheet(76.2, 101.6)}
	for seed := range int64(40) {
		out = append(out, emittest.RandomBlank(rand.New(rand.NewSource(seed))))
	}
	return out
}

// ezdxf opens and audits every DXF with no error and finds the entities of the
// model.
func TestEzdxfReadsTheBlank(t *testing.T) {
	emittest.NeedReaders(t)
	blanks := readerBlanks()
	var files [][]byte
	for i, b := range blanks {
		files = append(files, dxfOf(b, i%2 == 1))
	}
	for i, got := range emittest.ReadDXF(t, files...) {
		if len(got.Faults) > 0 {
			t.Errorf("blank %d: audit: %v", i, got.Faults)
		}
		if fmt.Sprint(got.Facts) != "map[measurement:1 units:4 version:AC1015]" {
			t.Errorf("blank %d: %v", i, got.Facts)
		}
		if err := emittest.Same(emittest.Expected(blanks[i], i%2 == 1), got.Drawing, readBack); err != nil {
			t.Errorf("blank %d: %v", i, err)
		}
	}
}

// svgelements finds the same curves, radii and lengths as the model.
func TestSvgelementsReadsTheBlank(t *testing.T) {
	emittest.NeedReaders(t)
	blanks := readerBlanks()
	var files [][]byte
	for i, b := range blanks {
		files = append(files, svgOf(b, i%2 == 1))
	}
	for i, got := range emittest.ReadSVG(t, files...) {
		want := emittest.Expected(blanks[i], i%2 == 1)
		if err := emittest.Same(want, got.Drawing, readBack); err != nil {
			t.Errorf("blank %d: %v", i, err)
		}
		for _, l := range want.Layers {
			// Every curve's ends may move by 0.71e-4 mm.
			allowed := 2e-4 * float64(len(emittest.Curves(l)))
			if off := math.Abs(got.Length[l.Kind] - l.Length()); off > allowed {
				t.Errorf("blank %d: %s is %v mm long, read as %v", i, l.Kind, l.Length(), got.Length[l.Kind])
			}
		}
	}
}

// At 10 pixels to the millimetre rsvg-convert's picture is as large as the
// blank, to the pixel, and its ink is where the curves are.
func TestRSVGDrawsTrueSize(t *testing.T) {
	emittest.NeedReaders(t)
	for i, b := range readerBlanks()[:12] {
		img := emittest.DrawRSVG(t, svgOf(b, false))
		d := emittest.Expected(b, false)
		size := img.Bounds().Size()
		if math.Abs(float64(size.X)-10*d.Width) > 1 || math.Abs(float64(size.Y)-10*d.Height) > 1 {
			t.Errorf("blank %d of %v × %v mm is drawn as %v pixels", i, d.Width, d.Height, size)
		}
		if err := emittest.CheckInk(img, d); err != nil {
			t.Errorf("blank %d: %v", i, err)
		}
	}
}

// Chromium's picture has the same size and ink; the 3 × 4 inch sheet is 762 by
// 1016 pixels.
func TestChromiumDrawsTrueSize(t *testing.T) {
	emittest.NeedReaders(t)
	for i, b := range readerBlanks()[:4] {
		d := emittest.Expected(b, false)
		if err := emittest.CheckInk(emittest.DrawChromium(t, svgOf(b, false), d), d); err != nil {
			t.Errorf("blank %d: %v", i, err)
		}
	}
}
