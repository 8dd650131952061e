package preview

import (
	"context"
	"testing"
)

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
