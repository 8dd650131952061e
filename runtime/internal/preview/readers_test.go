package preview

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"math"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

// rsvg-convert draws the page at its true size, and the board where it is.
func TestRSVGDrawsTheSheet(t *testing.T) {
	emittest.NeedReaders(t)
	img := emittest.DrawRSVG(t, svg(sleeve()))
	if size := img.Bounds().Size(); size != image.Pt(2970, 2100) {
		t.Errorf("A4 is drawn as %v pixels", size)
	}
	p := choosePage(context.Background(), sleeve())
	corner := p.corners[0].Add(geom.Pt(0, captionHeight)).Sub(p.cells[0].extent.Min)
	fl, ok := p.cells[0].body.(*flatPicture)
	if !ok {
		t.Fatal("the first cell is no blank")
	}
	for at, want := range map[geom.Point]string{
		{X: 50, Y: 80}:       boardColour, // the top panel, off its name
		{X: 24, Y: 51}:       paperColour, // its window, off its size
		{X: 180, Y: 45}:      paperColour, // right of the blank
		{X: 120, Y: 88}:      boardColour,
		{X: 38.52, Y: 53.52}: black, // the window's rim, off its dimensions
	} {
		q := fl.m.point(at).Add(corner)
		r, g, b, _ := img.At(int(q.X*10), int(q.Y*10)).RGBA()
		if got := fmt.Sprintf("#%02X%02X%02X", r>>8, g>>8, b>>8); got != want {
			t.Errorf("at %v the picture is %s, want %s", at, got, want)
		}
	}
}

// Text drawn by a program that is not ours is no wider than it was measured,
// and hardly narrower than two thirds of that.
func TestRSVGDrawsTextAsMeasured(t *testing.T) {
	emittest.NeedReaders(t)
	for _, text := range []string{"glue seam", "WMWMWM @@ mmm", "iiillljjj...", "1234567890 × 90° in", "<script>", "left side dust bottom"} {
		for _, f := range []font{{4, false}, {4, true}} {
			got := inkWidth(t, text, f)
			if want := f.width(text); got > want+0.1 || got < want*0.6 {
				t.Errorf("%q, bold %t: measured %.2f mm, drawn %.2f mm", text, f.bold, want, got)
			}
		}
	}
}

// inkWidth is the width in mm of a text as rsvg-convert draws it.
func inkWidth(t *testing.T, text string, f font) float64 {
	w := &writer{}
	w.head(documentHead{size: geom.Pt(100, 10), sort: "sheet", title: "text"})
	w.open("g", "font-family", fontFamily)
	writeText(w, text, f, geom.Pt(5, 5), 0, AtStart, black)
	w.close("g")
	w.close("svg")
	img := emittest.DrawRSVG(t, w.bytes())
	lo, hi := math.MaxInt, 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y < 128 {
				lo, hi = min(lo, x), max(hi, x)
			}
		}
	}
	return float64(hi-lo+1) / 10
}

// The sheet holds nothing that a viewer would have to fetch or run.
func TestNothingToFetch(t *testing.T) {
	for name, in := range designs() {
		svg := string(svg(in))
		for _, bad := range []string{"href", "<script", "<image", "<use", "javascript:", "@import", " on"} {
			for _, tag := range strings.Split(svg, "<") {
				if head, _, _ := strings.Cut(tag, ">"); strings.Contains("<"+head, bad) {
					t.Errorf("%s: a tag holds %s: <%s>", name, bad, head)
				}
			}
		}
		if strings.Count(svg, "http") != 1 {
			t.Errorf("%s names places beside its own name space", name)
		}
	}
}
