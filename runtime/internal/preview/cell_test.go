package preview

import (
	"context"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// Law: the grain arrow lies along the grain as the blank shows it: counter-
// clockwise from the right, on a page where y runs down.
func TestGrainArrow(t *testing.T) {
	r := rand.New(rand.NewSource(17))
	for range 50 {
		degrees := geom.Degrees(math.Round(r.Float64()*720 - 360))
		w := &writer{}
		w.open("svg", "viewBox", "0 0 100 100")
		writeGrain(w, geom.Pt(50, 50), degrees)
		w.close("svg")
		s := readBack(t, w.bytes())
		shaft := s.strokes[0].segs[0]
		d := shaft.b.Sub(shaft.a)
		angle := float64(degrees) * math.Pi / 180
		want := geom.Pt(math.Cos(angle), -math.Sin(angle))
		if math.Abs(d.Cross(want)) > 0.01 || math.Abs(d.Len()-grainLength) > 0.01 {
			t.Errorf("grain %g° is drawn along %v", degrees, d)
		}
		if s.texts[0].tile.bounds().Min.X < 50+math.Abs(d.X)/2 {
			t.Errorf("grain %g°: the word stands on the arrow", degrees)
		}
	}
}

// Law: a scale bar is as long on the paper as its figure says, at every scale.
func TestScaleBarMeasures(t *testing.T) {
	for step := leastStep; step <= mostStep; step++ {
		c := &cell{scale: scaleStep(step)}
		w := &writer{}
		end := c.writeBar(w, geom.Pt(10, 10))
		length, _ := barLength(barLimit / c.scale)
		if got := (end - 10) / c.scale; math.Abs(got-length) > 1e-9*length {
			t.Errorf("%s: the bar of %g mm measures %g", scaleText(c.scale), length, got)
		}
	}
}

// Beside much larger pieces a small one takes a scale of its own, and says so;
// a piece that is large enough never does.
func TestOwnScale(t *testing.T) {
	label := geom.BoxOf(geom.Pt(0, 0), geom.Pt(30, 20))
	for step, want := range map[int]int{0: 0, -1: -1, -2: -1, -5: -1} {
		if got := ownStep(label, step, leastFlat); got != want {
			t.Errorf("a label of 30 mm at %s goes to %s, want %s", scaleText(scaleStep(step)), scaleText(scaleStep(got)), scaleText(scaleStep(want)))
		}
	}
	s := readBack(t, svg(set()))
	for _, want := range []string{"flat, seen from the outside, 1:4, sizes in mm", "flat, seen from the outside, 1:2, sizes in mm"} {
		if !s.says(want) {
			t.Errorf("no caption says %q", want)
		}
	}
}

// Law: a cell is as large as what it shows, whatever that is.
func TestCellsHoldTheirPictures(t *testing.T) {
	for name, in := range designs() {
		p := choosePage(context.Background(), in)
		for i, c := range p.cells {
			if c.extent.Width() > c.size.X || c.extent.Height()+captionHeight > c.size.Y {
				t.Errorf("%s: cell %d of %v shows %v", name, i, c.size, c.extent)
			}
		}
		if want := len(in.Blanks) + len(in.Views); len(p.cells) != want {
			t.Errorf("%s: %d cells for %d pictures", name, len(p.cells), want)
		}
	}
}

// Views follow the blank of their piece; those of no piece come last.
func TestOrderOfCells(t *testing.T) {
	in := set()
	for _, piece := range []string{"lid", "nobody", "tray", "lid"} {
		in.Views = append(in.Views, boxView(piece, 20, 30, 40, nil))
	}
	var got []string
	for _, c := range choosePage(context.Background(), in).cells {
		word, _, _ := strings.Cut(c.detail, ",")
		if c.flat {
			word = c.title
		}
		got = append(got, word)
	}
	want := []string{"tray", "tray", "lid", "lid", "lid", "band", "label", "nobody"}
	if len(got) != len(want) {
		t.Fatalf("%q", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("%q, want %q", got, want)
		}
	}
}

// What has nothing to draw is left out.
func TestNothingToDraw(t *testing.T) {
	in := sleeve()
	in.Blanks[0].Bounds = geom.EmptyBox()
	in.Views = []View{{Piece: "sleeve", Title: "closed"}, {Aspects: []Aspect{{Picture: &scene.Picture{Bounds: geom.EmptyBox()}}}}}
	if s := readBack(t, svg(in)); s.groups["cell"] != 0 {
		t.Errorf("%d cells", s.groups["cell"])
	}
	if len(in.Blanks) != 1 || len(in.Views) != 2 {
		t.Error("the input was changed")
	}
}

// The preferred scales of ISO 5455, enlarging and reducing (value from memory),
// with the steps between that the sheet adds.
func TestPreferredScales(t *testing.T) {
	want := []string{"50:1", "40:1", "25:1", "20:1", "10:1", "5:1", "4:1", "2.5:1", "2:1", "1:1", "1:2", "1:2.5", "1:4", "1:5", "1:10", "1:20", "1:25", "1:40", "1:50", "1:100", "1:200"}
	for i, w := range want {
		if got := scaleText(scaleStep(9 - i)); got != w {
			t.Errorf("step %d is %s, want %s", 9-i, got, w)
		}
	}
}

// Law: the second picture of a view is half as large as the first or more, and a step
// less would be below half.
func TestSecondScale(t *testing.T) {
	for n := leastStep; n <= mostStep; n++ {
		got := secondStep(n)
		if part := scaleStep(got) / scaleStep(n); part < 0.5-1e-9 || scaleStep(got-1)/scaleStep(n) > 0.5-1e-9 {
			t.Errorf("%s goes with %s", scaleText(scaleStep(n)), scaleText(scaleStep(got)))
		}
	}
}

// Law: scales fall strictly from step to step, over the whole range searched.
func TestScalesFall(t *testing.T) {
	for n := leastStep; n < mostStep; n++ {
		if scaleStep(n) >= scaleStep(n+1) {
			t.Errorf("step %d is not below step %d", n, n+1)
		}
	}
}

// Sheets of the ISO 216 A series in mm (ISO 216, as trade glossaries list it).
func TestSheetSizes(t *testing.T) {
	for n, want := range map[int][2]float64{0: {841, 1189}, 1: {594, 841}, 2: {420, 594}, 3: {297, 420}, 4: {210, 297}, -1: {1189, 1682}} {
		if short, long := isoA(n); short != want[0] || long != want[1] {
			t.Errorf("A%d is %g × %g, want %g × %g", n, short, long, want[0], want[1])
		}
	}
}

// What scale the pieces get: full size when they fit, the next step down when
// they do not, enlarged only when they are small.
func TestScaleOfTheSheet(t *testing.T) {
	for _, c := range []struct {
		w, h float64
		want float64
	}{{20, 12, 2.5}, {60, 40, 1}, {150, 120, 1}, {300, 200, 0.5}, {440, 300, 0.4}, {3000, 1400, 0.05}, {0.5, 0.5, 100}, {90000, 100, 0.0025}} {
		p := choosePage(context.Background(), block("piece", c.w, c.h))
		if got := p.cells[0].scale; got != c.want {
			t.Errorf("%g × %g mm is drawn at %s, want %s", c.w, c.h, scaleText(got), scaleText(c.want))
		}
	}
}

// Law: a scale bar is 1, 2 or 5 times a power of ten and no longer than it may
// be, and more than two fifths of that.
func TestBarLength(t *testing.T) {
	for _, limit := range []float64{0.3, 1, 1.99, 2, 4.9, 5, 9.99, 42, 84, 420, 12345} {
		got, parts := barLength(limit)
		if got > limit || got <= 0.4*limit-1e-9 || parts < 4 {
			t.Errorf("limit %g: %g in %d parts", limit, got, parts)
		}
	}
}
