package preview

import (
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

var stacked = regexp.MustCompile(`\.(cell|column):nth-of-type\((\d+)\)\{transform:translate\((-?[\d.]+)px,(-?[\d.]+)px\) scale\(([\d.]+)\)\}`)

// Laws of the stack in a narrow window, read back from the style sheet: there is a rule
// for every cell and column and for nothing else; no two parts overlap; all lie within
// the whole; and a millimetre of the page is at least leastNarrow px in a window of
// narrowWidth px.
func TestStack(t *testing.T) {
	for name, in := range designs() {
		s, err := Lay(t.Context(), in)
		if err != nil {
			t.Fatal(err)
		}
		style := s.style()
		var wide, high float64
		m := regexp.MustCompile(`svg:root\{width:([\d.]+)vw;height:([\d.]+)vw`).FindStringSubmatch(style)
		if m == nil {
			t.Fatalf("%s: no size in %s", name, style)
		}
		_, _ = fmt.Sscan(m[1]+" "+m[2], &wide, &high)
		wide, high = wide/100, high/100*s.Size.X
		unit := s.Size.X / narrowWidth
		whole := geom.Box{Max: geom.Pt(wide*s.Size.X, high)}
		cells, columns := s.page.parts()
		rules := stacked.FindAllStringSubmatch(style, -1)
		if len(rules) != len(cells)+len(columns) {
			t.Errorf("%s: %d rules for %d cells and %d columns", name, len(rules), len(cells), len(columns))
		}
		var placed []geom.Box
		for _, r := range rules {
			var i int
			var x, y, scale float64
			_, _ = fmt.Sscan(r[2]+" "+r[3]+" "+r[4]+" "+r[5], &i, &x, &y, &scale)
			box := columns
			if r[1] == "cell" {
				box = cells
			}
			b := box[i-1]
			b = geom.BoxOf(b.Min.Mul(scale).Add(geom.Pt(x, y)).Mul(wide), b.Max.Mul(scale).Add(geom.Pt(x, y)).Mul(wide))
			if scale*wide < leastNarrow*unit*0.99 {
				t.Errorf("%s: %s is %g px a mm", name, r[0], scale*wide/unit)
			}
			if out := b.Grow(-0.5); !whole.Contains(out.Min) || !whole.Contains(out.Max) {
				t.Errorf("%s: %s is at %v, out of %v", name, r[0], b, whole)
			}
			for _, o := range placed {
				if b.Intersects(o) {
					t.Errorf("%s: %s at %v meets another at %v", name, r[0], b, o)
				}
			}
			placed = append(placed, b)
		}
	}
}

// A browser shows the sheet as wide as its window; in a narrow upright one it stacks the
// parts, so that the first picture's caption is as high as it was meant to be.
func TestBrowserShowsTheSheet(t *testing.T) {
	emittest.NeedReaders(t)
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no browser called chromium")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.svg")
	if err := os.WriteFile(file, svg(sleeve()), 0o600); err != nil {
		t.Fatal(err)
	}
	shot := func(w, h int) image.Image {
		out := filepath.Join(dir, "shot.png")
		cmd := exec.CommandContext(t.Context(), browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
			fmt.Sprintf("--window-size=%d,%d", w, h), "--user-data-dir="+dir, "--screenshot="+out, "file://"+file)
		if text, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		f, err := os.Open(out)
		if err != nil {
			t.Fatal(err)
		}
		defer func() { _ = f.Close() }()
		img, err := png.Decode(f)
		if err != nil {
			t.Fatal(err)
		}
		return img
	}
	ink := func(img image.Image) (box image.Rectangle) {
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
					box = box.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		return box
	}
	sheet, err := Lay(t.Context(), sleeve())
	if err != nil {
		t.Fatal(err)
	}
	scale := 1200 / sheet.Size.X
	if got := ink(shot(1200, 1000)); got.Min.X < int(margin*scale)-1 || got.Max.X < int((sheet.Size.X-2*margin)*scale) {
		t.Errorf("in a window 1,200 px wide the ink is at %v", got)
	}
	if got := ink(shot(400, 1000)); got.Dy() < 600 || got.Min.X > 2*stackMargin {
		t.Errorf("in a window 400 px wide the ink is at %v", got)
	}
}
