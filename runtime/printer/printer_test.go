package printer

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"testing"
	"testing/synctest"

	"github.com/go-fonts/liberation/liberationsansbold"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// made are the files that a script comes to, the pictures of this package among
// them.
func made(t *testing.T, name, text string) map[emit.Kind][]byte {
	t.Helper()
	res, err := engine.Run(context.Background(), engine.Request{
		Script: name, Read: func(string) ([]byte, error) { return []byte(text), nil },
		Also: []emit.Kind{emit.KindPDF, emit.KindPNG},
	})
	if err != nil || res.Exit > engine.Faulty {
		t.Fatal(err, res.Findings)
	}
	out := map[emit.Kind][]byte{}
	for _, f := range res.Files {
		out[f.Kind] = f.Bytes
	}
	return out
}

func example(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// sizeOf is the page that a sheet's SVG is drawn on, mm.
func sizeOf(t *testing.T, svg []byte) (w, h float64) {
	t.Helper()
	m := regexp.MustCompile(`width="([0-9.]+)mm" height="([0-9.]+)mm"`).FindSubmatch(svg)
	if m == nil {
		t.Fatal("no size")
	}
	w, _ = strconv.ParseFloat(string(m[1]), 64)
	h, _ = strconv.ParseFloat(string(m[2]), 64)
	return w, h
}

// Laws: both files are the same bytes on every run, are recognised as what they
// are, and have the page of preview.svg; the PNG says its pixels a metre.
func TestFiles(t *testing.T) {
	text := example(t, "tea-carton.star")
	first, second := made(t, "tea-carton.star", text), made(t, "tea-carton.star", text)
	for _, k := range []emit.Kind{emit.KindPDF, emit.KindPNG} {
		if !bytes.Equal(first[k], second[k]) {
			t.Errorf("%s: two runs differ", k)
		}
		if f, _ := emit.Formats().Of(k); f.Check(context.Background(), first[k]) != nil {
			t.Errorf("%s is not recognised", k)
		}
	}
	w, h := sizeOf(t, first[emit.KindPreview])
	img := decoded(t, first[emit.KindPNG])
	if s := img.Bounds().Size(); s.X != int(w*resolution) || s.Y != int(h*resolution) {
		t.Errorf("%v pixels for %g × %g mm", s, w, h)
	}
	if !bytes.Contains(first[emit.KindPNG], []byte("\x00\x00\x00\x09pHYs\x00\x00\x1f\x40\x00\x00\x1f\x40\x01")) {
		t.Error("no 8,000 pixels a metre")
	}
	if bytes.Contains(first[emit.KindPDF], []byte("Date")) {
		t.Error("the PDF carries a time")
	}
	synctest.Test(t, func(t *testing.T) { // where the year is 2000
		if then := made(t, "tea-carton.star", text); !bytes.Equal(then[emit.KindPDF], first[emit.KindPDF]) {
			t.Error("at another time the PDF differs")
		}
	})
}

func decoded(t *testing.T, file []byte) image.Image {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// A sheet larger than A2 keeps its sides within the bound.
func TestLargeSheet(t *testing.T) {
	if got := min(resolution, mostPixels/1189.0); math.Abs(got-4.037) > 0.001 {
		t.Errorf("A0 gets %g pixels a millimetre", got)
	}
}

// Law: every place in a PDF's table is where its object starts, and the table is
// where the file says: what was cut out has been reckoned with.
func TestTableOfPDF(t *testing.T) {
	file := made(t, "box.star", box)[emit.KindPDF]
	m := regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`).FindSubmatch(file)
	at, _ := strconv.Atoi(string(m[1]))
	rows := bytes.Split(file[at:], []byte("\n"))
	if string(rows[0]) != "xref" {
		t.Fatalf("%q is where the table should be", rows[0])
	}
	n := 0
	for i, r := range rows[3:] {
		if !bytes.HasSuffix(r, []byte(" 00000 n ")) {
			break
		}
		offset, _ := strconv.Atoi(string(r[:10]))
		if want := []byte(strconv.Itoa(i+1) + " 0 obj\n"); !bytes.HasPrefix(file[offset:], want) {
			t.Errorf("object %d is not at %d but %.12q is", i+1, offset, file[offset:])
		}
		n++
	}
	if n < 8 {
		t.Errorf("%d objects", n)
	}
}

const box = `"""Box #1/A%"""
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
a.cut(circle(20).shift(30, 40))
tab("t", on = a.left, depth = 12, to = b.right)
piece("box", a, board = board("card", caliper = 0.4))
`

// Laws of a font's sums: that of head is the one in the directory, reckoned with
// the sum of the whole taken for 0, and all words of the font add up to
// 0xB1B0AFBA. The fonts as they come keep them too, so the reader of this test is
// right.
func TestFontSums(t *testing.T) {
	font := slices.Clone(liberationsansbold.TTF)
	for _, name := range []string{"as it comes", "without a time"} {
		if got := sum(font); got != 0xB1B0AFBA {
			t.Errorf("%s: all words add up to %#x", name, got)
		}
		if err := timelessFont(font); err != nil {
			t.Fatal(err)
		}
	}
	if bytes.Equal(font, liberationsansbold.TTF) {
		t.Error("nothing has changed")
	}
	if timelessFont(font[:40]) == nil {
		t.Error("a font without head is no error")
	}
}

// A picture has what it should where it should: paper in the corner, board
// inside the panel, paper in its window, glue tint and hatching on the tab.
func TestColours(t *testing.T) {
	img := decoded(t, made(t, "box.star", box)[emit.KindPNG])
	seen, hatched := map[color.RGBA]int{}, 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			r, g, b, _ := img.At(x, y).RGBA()
			seen[color.RGBA{uint8(r >> 8), uint8(g >> 8), uint8(b >> 8), 255}]++
			if r > 0xB000 && g > 0xA000 && b < 0x9000 {
				hatched++
			}
		}
	}
	if hatched < 1000 {
		t.Errorf("%d pixels of hatching", hatched)
	}
	for name, c := range map[string]string{
		"paper": "#FFFFFF", "board": "#F3EDE1", "glue": "#FBF7C8", "ink": "#1C2226", "score": "#0072B2",
	} {
		if n := seen[colourOf(c)]; n < 30 {
			t.Errorf("%s: %d pixels", name, n)
		}
	}
}

// A context that has ended ends the drawing.
func TestEnded(t *testing.T) {
	ctx, end := context.WithCancel(context.Background())
	end()
	res, err := engine.Run(ctx, engine.Request{
		Script: "box.star", Read: func(string) ([]byte, error) { return []byte(box), nil }, Also: []emit.Kind{emit.KindPDF},
	})
	if err == nil || len(res.Files) > 0 {
		t.Errorf("%d files, error %v", len(res.Files), err)
	}
}
