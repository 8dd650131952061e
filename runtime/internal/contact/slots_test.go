package contact

import (
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// By hand: a panel that stands square in a slot takes a caliper, one that leans
// the caliper over the sine of the angle; a slot as wide as that, and a panel
// that ends before the slot, are nothing to tell.
func TestSlotsByHand(t *testing.T) {
	hole := func(wide float64) [][]geom.Point {
		r := rect(20-wide/2, 10, wide, 20)[0]
		slices.Reverse(r)
		return append(rect(0, 0, 40, 40), r)
	}
	for _, c := range []struct {
		name  string
		wide  float64
		angle float64 // between the two
		long  float64 // of the panel in the slot, along it
		low   float64 // how far it reaches through
		need  float64 // 0 for nothing to tell
	}{
		{"narrow", 1, 90, 18, 10, 4},
		{"wide enough", 4, 90, 18, 10, 0},
		{"a hundredth short", 3.99, 90, 18, 10, 0},
		{"leaning", 4, 60, 18, 10, 4 / math.Sin(math.Pi/3)},
		{"ends above it", 1, 90, 18, -3, 0},
		{"flush with the far face", 1, 90, 18, 2, 0},
	} {
		turned := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(-c.angle).Angle())
		up := turned.ApplyDir(geom.Point3{X: 1})
		turned.T = geom.Point3{X: 20, Y: 20 - c.long/2}.Sub(up.Mul(30))
		if up.Z < 0 {
			t.Fatal("the panel is upside down")
		}
		p := loose([]geom.RigidTransform{geom.Identity3(), turned}, hole(c.wide), rect(0, 0, 30+c.low, c.long))
		p.caliper = 4
		got := must(p.Slots(bg, SlotMargin))
		if c.need == 0 {
			if len(got) > 0 {
				t.Errorf("%s: %+v", c.name, got)
			}
			continue
		}
		if len(got) != 1 || got[0].In != 0 || got[0].Panel != 1 {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		near(t, c.name+": wide", got[0].Wide, c.wide, 1e-9)
		near(t, c.name+": need", got[0].Need, c.need, 1e-9)
	}
}
