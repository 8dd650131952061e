package region

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: an arc stays as long as it was, to a fiftieth or to a few snap
// tolerances, when an end is moved by less than that tolerance. The fiftieth is
// for one of nearly a full turn: its ends are as close together as those of a
// tiny arc, and moving one turns their chord, and with it the line its centre
// lies on. The tiny arc alone becomes a line.
func TestRefitTellsATinyArcFromAFullTurn(t *testing.T) {
	const radius, gap = 10, 0.003 // mm
	tiny := gap / radius          // radians
	for name, sweep := range map[string]float64{
		"tiny": tiny, "tiny, clockwise": -tiny,
		"nearly full": 2*math.Pi - tiny, "nearly full, clockwise": tiny - 2*math.Pi,
		"half": math.Pi, "over half": 3.3, "under half, clockwise": -3,
	} {
		c := geom.ArcFrom(geom.Pt(radius, 0), geom.Point{}, geom.Radians(sweep))
		for k := range 8 {
			off := geom.Polar(0.4*geom.SnapTolerance, geom.Radians(float64(k)))
			got := refit(c, c.P, c.Q.Add(off))
			if length, want := got.Length(), radius*math.Abs(sweep); math.Abs(length-want) > max(4*geom.SnapTolerance, want/50) {
				t.Errorf("%s: %v mm long, was %v", name, length, want)
			}
			if line := got.Kind == geom.Line; line != (math.Abs(sweep) < 1) {
				t.Errorf("%s: a line: %v", name, line)
			}
		}
	}
}
