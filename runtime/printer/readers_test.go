package printer

import (
	"bytes"
	"encoding/xml"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
)

// Laws, by readers that are not ours (pdftotext, pdftoppm, rsvg-convert): the PDF has
// one page of the sheet's size with the words of preview.svg and no others; and PDF,
// PNG and SVG are as dark as one another all over the page, the SVG but for its text.
func TestPagesAreTheSheet(t *testing.T) {
	emittest.NeedReaders(t)
	// The tab lies on the outside, so that its glue is hatched as the inside's.
	script := strings.Replace(box, "to = b.right", `to = b.right, side = "outside"`, 1)
	files := made(t, "box.star", strings.Replace(script, "caliper = 0.4)", `caliper = 0.4), view = "inside"`, 1))
	if !bytes.Contains(files[emit.KindPreview], []byte(`fill="url(#hatch-inside)"`)) {
		t.Error("no hatching of the inside")
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, files[emit.KindPDF], 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := exec.CommandContext(t.Context(), "pdftotext", "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(text, []byte("\f")); n != 1 {
		t.Errorf("%d pages", n)
	}
	got, want := strings.Fields(string(text)), wordsOf(t, files[emit.KindPreview])
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("the PDF says\n%q\nand the SVG\n%q", got, want)
	}
	// 8 pixels a millimetre, as in the PNG.
	page, err := exec.CommandContext(t.Context(), "pdftoppm", "-r", "203.2", "-png", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	w, h := sizeOf(t, files[emit.KindPreview])
	pdf, png := darkness(decoded(t, page), w, h), darkness(decoded(t, files[emit.KindPNG]), w, h)
	svg := files[emit.KindPreview]
	drawn := darkness(emittest.DrawRSVG(t, svg), w, h)
	silent := darkness(emittest.DrawRSVG(t, regexp.MustCompile(`<text.*?</text>`).ReplaceAll(svg, nil)), w, h)
	alike := 0
	for i, d := range pdf {
		if math.Abs(d-png[i]) > 0.05 { // a hairline along a square's side
			t.Errorf("square %d is %.3f dark in the PDF and %.3f in the PNG", i, d, png[i])
		}
		if drawn[i] != silent[i] {
			continue // text, which is set in whatever font there is
		}
		if alike++; math.Abs(d-drawn[i]) > 0.05 {
			t.Errorf("square %d is %.3f dark in the PDF and %.3f in the SVG", i, d, drawn[i])
		}
	}
	if alike < len(pdf)/2 {
		t.Errorf("%d of %d squares compared with the SVG", alike, len(pdf))
	}
}

// wordsOf lists the words that a sheet shows.
func wordsOf(t *testing.T, svg []byte) []string {
	t.Helper()
	var words []string
	d := xml.NewDecoder(bytes.NewReader(svg))
	shown := false
	for {
		token, err := d.Token()
		if err != nil {
			return words // at the end of the file
		}
		switch token := token.(type) {
		case xml.StartElement:
			shown = token.Name.Local == "text"
		case xml.EndElement:
			shown = false
		case xml.CharData:
			if shown {
				words = append(words, strings.Fields(string(token))...)
			}
		}
	}
}

// darkness gives how dark each square of 5 mm of a page of w by h mm is, from 0 to 1.
func darkness(img image.Image, w, h float64) []float64 {
	const side = 5.0
	columns, rows := int(w/side), int(h/side)
	sum, n := make([]float64, columns*rows), make([]float64, columns*rows)
	b := img.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			i, j := int(float64(x)*w/float64(b.Dx())/side), int(float64(y)*h/float64(b.Dy())/side)
			if i >= columns || j >= rows {
				continue
			}
			r, g, bl, _ := img.At(x, y).RGBA()
			sum[j*columns+i] += 1 - float64(r+g+bl)/(3*0xFFFF)
			n[j*columns+i]++
		}
	}
	for i := range sum {
		sum[i] /= n[i]
	}
	return sum
}
