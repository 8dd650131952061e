package contact

import (
	"fmt"
	"math"
	"testing"
)

// onset is the least of the angles from lo to hi at which probe reports a
// contact, which it must from there on.
func onset(lo, hi float64, probe func(angle float64) bool) float64 {
	for range 50 {
		if mid := (lo + hi) / 2; probe(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// A flap of length 50 on a hinge, turning toward a parallel ceiling at height
// 25, touches it at asin(25/50) = 30°: a closed form. Contact is told from a
// depth of Shallowest on, which shifts the angle by what the form says.
func TestFlapUnderCeiling(t *testing.T) {
	const length, height = 50.0, 25.0
	f := func(angle float64) *Posed {
		return fromScript(t, fmt.Sprintf(`
floor = panel("floor", rect(100, 40))
wall = panel("wall", rect(%g, 40), on = floor.left)
ceiling = panel("ceiling", rect(160, 40), on = wall.left)
flap("flap", on = floor.right, depth = %g, inset = 3, fold = %.17g)
piece("form", floor, board = card)
`, height, length, angle)).closed()
	}
	if p := f(30); len(p.Penetrations) > 0 {
		t.Errorf("at 30 degrees it touches already: %+v", p.Penetrations[0])
	}
	for _, angle := range []float64{30.01, 30.5, 33} {
		c, _ := f(angle).penetrationOf("flap", "ceiling")
		near(t, fmt.Sprintf("depth at %g", angle), c.Depth, length*math.Sin(angle*math.Pi/180)-height, 1e-9)
	}
	got := onset(20, 40, func(a float64) bool { return len(f(a).Penetrations) > 0 })
	near(t, "the angle", got, math.Asin((height+Shallowest)/length)*180/math.Pi, 1e-6)
	near(t, "the angle but for the tolerance", got, 30.000000, 2e-3)
}

// Two mirrored flaps of length 40 on hinges 60 apart, turning together from
// upright toward each other, meet at asin(60/80) = 48.590378° from upright: a
// closed form. Beyond, a tip lies behind the other flap by what the tips have
// passed each other times the cosine.
func TestMirroredFlaps(t *testing.T) {
	const length, width = 40.0, 60.0
	f := func(angle float64) *Posed {
		return fromScript(t, fmt.Sprintf(`
floor = panel("floor", rect(%g, 50))
for side in [floor.left, floor.right]:
    flap(side.name, on = side, depth = %g, fold = 90 + %.17g)
piece("form", floor, board = card)
`, width, length, angle)).closed()
	}
	if p := f(48.590378); len(p.Penetrations) > 0 {
		t.Errorf("they touch too early: %+v", p.Penetrations[0])
	}
	for _, angle := range []float64{48.6, 49, 52} {
		c, _ := f(angle).penetrationOf("left", "right")
		sin, cos := math.Sincos(angle * math.Pi / 180)
		near(t, fmt.Sprintf("depth at %g", angle), c.Depth, (2*length*sin-width)*cos, 1e-9)
	}
	got := onset(30, 60, func(a float64) bool { return len(f(a).Penetrations) > 0 })
	near(t, "the angle", got, 48.590378, 2e-3)
}

// A tube of four panels p, q, p, q with folds θ, 180 − θ, θ, 180 − θ closes
// through its whole motion and lies flat at both ends; a tube lies flat only
// where its widths split into two adjacent pairs of equal sum: a closed form.
func TestFourPanelTube(t *testing.T) {
	f := func(widths [4]float64, angle float64) *Posed {
		return fromScript(t, fmt.Sprintf(`
turns = [%.17[5]g, 180 - %.17[5]g, %.17[5]g]
first = panel("0", rect(%[1]g, 90))
last = first
for i, width in enumerate([%[2]g, %[3]g, %[4]g]):
    last = panel(str(i + 1), rect(width, 90), on = last.right, fold = turns[i])
meet(last.right, first.left)
piece("tube", first, board = card)
`, widths[0], widths[1], widths[2], widths[3], angle)).closed()
	}
	for angle := 0.0; angle <= 180; angle += 7.5 {
		p := f([4]float64{60, 28, 60, 28}, angle)
		near(t, fmt.Sprintf("gap at %g", angle), must(p.Gaps(bg, nil))[0].Size, 0, 1e-9)
		if len(p.Penetrations) > 0 {
			t.Errorf("at %g degrees its walls cross: %+v", angle, p.Penetrations[0])
		}
		if flat := angle == 0 || angle == 180; p.Flat() != flat {
			t.Errorf("at %g degrees flat is %v", angle, p.Flat())
		} else if flat && p.Thickness() != 2 {
			t.Errorf("at %g degrees it is %d boards thick", angle, p.Thickness())
		}
	}
	// 60 + 28 against 50 + 28: the seam stays 10 mm open.
	near(t, "gap of an odd tube", must(f([4]float64{60, 28, 50, 28}, 0).Gaps(bg, nil))[0].Size, 10, 1e-9)
}
