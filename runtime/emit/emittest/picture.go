package emittest

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// PixelsPerMM is how large the drawing programs are asked to draw.
const PixelsPerMM = 10

// DrawRSVG draws an SVG with rsvg-convert; the picture is as large as the
// drawing.
func DrawRSVG(t testing.TB, svg []byte) image.Image {
	t.Helper()
	NeedReaders(t)
	in, out := pictureFiles(t, svg)
	dpi := strconv.FormatFloat(25.4*PixelsPerMM, 'f', -1, 64)
	run(t, "rsvg-convert", "--dpi-x="+dpi, "--dpi-y="+dpi, "--background-color=white", "--output="+out, in)
	return readPNG(t, out)
}

// DrawChromium draws an SVG with Chromium, in the upper left corner of a
// window that holds it.
func DrawChromium(t testing.TB, svg []byte, d Drawing) image.Image {
	t.Helper()
	NeedReaders(t)
	in, out := pictureFiles(t, svg)
	const cssPerMM = 96 / 25.4 // CSS: 96 px to the inch
	// A window narrower than 500 is not to be had.
	size := fmt.Sprintf("%d,%d", 500+int(d.Width*cssPerMM), 500+int(d.Height*cssPerMM))
	run(t, "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--user-data-dir="+t.TempDir(), "--hide-scrollbars", "--window-size="+size,
		fmt.Sprintf("--force-device-scale-factor=%.9f", PixelsPerMM/cssPerMM),
		"--screenshot="+out, "file://"+in)
	return readPNG(t, out)
}

func pictureFiles(t testing.TB, svg []byte) (in, out string) {
	t.Helper()
	dir := t.TempDir()
	in, out = filepath.Join(dir, "cut.svg"), filepath.Join(dir, "cut.png")
	if err := os.WriteFile(in, svg, 0o600); err != nil {
		t.Fatal(err)
	}
	return in, out
}

func readPNG(t testing.TB, name string) image.Image {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// CheckInk looks at a picture of a drawing: its ink must fill the drawing's
// size to the pixel, lie on the curves, and lie nowhere else.
func CheckInk(img image.Image, d Drawing) error {
	box := inkBounds(img)
	w, h := d.Width*PixelsPerMM, d.Height*PixelsPerMM
	for _, off := range [...]float64{float64(box.Min.X), float64(box.Min.Y), float64(box.Max.X) - w, float64(box.Max.Y) - h} {
		if math.Abs(off) > 1 {
			return fmt.Errorf("ink fills %v of %.1f × %.1f pixels", box, w, h)
		}
	}
	var all []geom.Curve
	for _, l := range d.Layers {
		all = append(all, Curves(l)...)
		if err := inked(img, d, l); err != nil {
			return err
		}
	}
	return blankElsewhere(img, d, all)
}

func inkBounds(img image.Image) image.Rectangle {
	var box image.Rectangle
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if hasInk(img, x, y) {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box
}

// hasInk reports a pixel that is clearly not paper.
func hasInk(img image.Image, x, y int) bool {
	if !(image.Point{X: x, Y: y}).In(img.Bounds()) {
		return false
	}
	return color.GrayModel.Convert(img.At(x, y)).(color.Gray).Y < 245
}

func pixel(d Drawing, p geom.Point) (x, y int) {
	return int(math.Floor(p.X * PixelsPerMM)), int(math.Floor((d.Height - p.Y) * PixelsPerMM))
}

func inked(img image.Image, d Drawing, l blank.Layer) error {
	for i, c := range Curves(l) {
		for _, t := range [...]float64{0.1, 0.37, 0.5, 0.63, 0.9} {
			if x, y := pixel(d, c.At(t)); !inkNear(img, x, y) {
				return fmt.Errorf("%s: no ink at %v of curve %d, %v, pixel %d, %d", l.Kind, t, i, c.At(t), x, y)
			}
		}
	}
	return nil
}

func inkNear(img image.Image, x, y int) bool {
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if hasInk(img, x+dx, y+dy) {
				return true
			}
		}
	}
	return false
}

// blankElsewhere looks at random places more than 0.3 mm, three pixels, from
// every curve.
func blankElsewhere(img image.Image, d Drawing, all []geom.Curve) error {
	rnd := rand.New(rand.NewSource(5))
	for range 2000 {
		p := geom.Pt(rnd.Float64()*d.Width, rnd.Float64()*d.Height)
		far := true
		for _, c := range all {
			if _, dist := c.Nearest(p); dist < 0.3 {
				far = false
				break
			}
		}
		if x, y := pixel(d, p); far && hasInk(img, x, y) {
			return fmt.Errorf("ink at %v, pixel %d, %d, where no curve is", p, x, y)
		}
	}
	return nil
}
