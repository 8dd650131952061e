package linework

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A direction within half a degree of a line leads along it, to neither side;
// ends within the tolerance of another line touch it.
func TestSidesAndTouches(t *testing.T) {
	at := func(x, y, x2, y2 float64) *Line {
		return &Line{Curve: geom.LineFrom(geom.Pt(x, y), geom.Pt(x2, y2))}
	}
	line := at(0, 0, 10, 0)
	for sine, want := range map[float64]int{0: 0, 0.009: 0, -0.009: 0, 0.011: 1, -0.011: -1, 1: 1, -1: -1} {
		if got := side(line, 0.5, geom.Pt(math.Sqrt(1-sine*sine), sine)); got != want {
			t.Errorf("under a sine of %g it leads to side %d, want %d", sine, got, want)
		}
	}
	for gap, want := range map[float64]bool{0: true, 0.9 * coincidence: true, 1.1 * coincidence: false, 4 * coincidence: false} {
		if got := touching(line, at(5, gap, 5, 9)); got != want {
			t.Errorf("%g off they touch: %v", gap, got)
		}
	}
}
