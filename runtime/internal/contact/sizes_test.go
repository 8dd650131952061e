package contact

import (
	"math"
	"testing"
)

// By hand, in card of half a millimetre: over all a box is a caliper larger than
// from fold to fold, inside a caliper smaller; where a lid lies on dust flaps each
// end takes another caliper; and a sleeve is open along its length.
func TestSizesByHand(t *testing.T) {
	for _, c := range []struct {
		name, script    string
		outside, inside [3]float64
	}{
		{"tray", `
base = panel("base", rect(60, 40))
for e in [base.left, base.right, base.top, base.bottom]:
    flap(e.name, on = e, depth = 30)
`, [3]float64{60.5, 40.5, 30.25}, [3]float64{59.5, 39.5, math.Inf(1)}},
		{"sleeve", `
base = panel("top", rect(60, 90))
panel("left", rect(28, 90), on = base.left)
right = panel("right", rect(28, 90), on = base.right)
panel("base", rect(60, 90), on = right.right)
`, [3]float64{60.5, 90, 28.5}, [3]float64{59.5, math.Inf(1), 27.5}},
		{"lids on dust flaps", `
base = panel("front", rect(80, 100))
right = panel("right", rect(50, 100), on = base.right)
back = panel("back", rect(80, 100), on = right.right)
left = panel("left", rect(50, 100), on = back.right)
for side in [right, left]:
    for end in [side.top, side.bottom]:
        flap(side.name + end.name, on = end, depth = 45 if side == right else 30)
flap("lid", on = back.top, depth = 50)
flap("floor", on = back.bottom, depth = 50)
`, [3]float64{80.5, 100.5, 50.5}, [3]float64{79.5, 98.5, 49.5}},
	} {
		s, ok := fromScript(t, c.script+`piece("p", base, board = card)`).closed().Sizes()
		if !ok {
			t.Fatalf("%s: no sizes", c.name)
		}
		for k := range 3 {
			near(t, c.name+": outside", s.Outside[k], c.outside[k], 1e-9)
			if s.Inside[k] != c.inside[k] && math.Abs(s.Inside[k]-c.inside[k]) > 1e-9 {
				t.Errorf("%s: inside along axis %d %g, want %g", c.name, k, s.Inside[k], c.inside[k])
			}
		}
	}
}
