package contact

import (
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Two walls of 2 mm that stand on a base, by hand: at a corner where both run to
// the crease they share a square of half a caliper; where one ends before that,
// none; where one runs past it, more.
func TestOverlapsOfWallsByHand(t *testing.T) {
	for _, c := range []struct {
		name  string
		inset float64 // of the ends of two walls
		depth float64 // 0 for none
		trim  float64 // of the inset wall
	}{
		{"full length", 0, 1, 1},
		{"ends half a caliper short", 1, 0, 0},
		{"half a millimetre short", 0.5, 0.5, 0.5},
		{"half a millimetre too long", -0.5, 1, 1.5},
	} {
		f := fromScript(t, fmt.Sprintf(`
grey = board("greyboard", kind = "greyboard", caliper = 2)
base = panel("base", rect(120, 90))
flap("left", on = base.left, depth = 40)
flap("top", on = base.top, depth = 40, inset = (%g, 5))
piece("tray", base, board = grey)
`, c.inset))
		got := must(f.closed().Overlaps(bg, 0.3))
		if c.depth == 0 {
			if len(got) > 0 {
				t.Errorf("%s: %+v", c.name, got)
			}
			continue
		}
		if len(got) != 1 {
			t.Errorf("%s: %d overlaps", c.name, len(got))
			continue
		}
		near(t, c.name+": depth", got[0].Depth, c.depth, 1e-6)
		near(t, c.name+": trim of the top wall", got[0].Trims[1], c.trim, 1e-6)
	}
}

// By hand: a wall 2 mm thick that begins half a millimetre below the middle of a
// base of 2 mm shares 1.5 mm with it and has to begin that much later; the base
// runs on to both sides, and no trim of it gives room.
func TestOverlapOfABaseThatRunsOn(t *testing.T) {
	for _, angle := range []float64{90, -90} {
		turned := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(angle).Angle())
		up := turned.ApplyDir(geom.Point3{X: 1})
		p := loose([]geom.RigidTransform{geom.Identity3(), turned}, rect(-20, 0, 40, 30), rect(-0.5, 0, 30, 30))
		p.caliper = 2
		got := must(p.Overlaps(bg, 0.2))
		if len(got) != 1 {
			t.Fatalf("%v degrees: %+v", angle, got)
		}
		near(t, "depth", got[0].Depth, 1.5, 1e-9)
		near(t, "trim of the base", got[0].Trims[0], 0, 0)
		near(t, "trim of the wall", got[0].Trims[1], 1.5, 1e-9)
		near3(t, "which way", got[0].Toward[1], up, 1e-9)
		near(t, "height of the place", got[0].AtBlank.X, 0, 1e-9)
	}
}

// Law: two rectangles in space share board where throwing points finds some in
// both, and a panel that ends earlier by its trim shares none.
func TestOverlapLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(41))
	const half, limit = 1.0, 0.2
	found, trimmed := 0, 0
	for range 300 {
		widths := [2]float64{20 + rng.Float64()*20, 20 + rng.Float64()*20}
		turned := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(60+rng.Float64()*60).Angle())
		turned.T = geom.Point3{X: -2 + rng.Float64()*4, Z: -2 + rng.Float64()*4}
		frames := []geom.RigidTransform{geom.Identity3(), turned}
		thick := func(starts [2]float64) *Posed {
			p := loose(frames, rect(starts[0], 0, widths[0]-starts[0], 30), rect(starts[1], 0, widths[1]-starts[1], 30))
			p.caliper = 2 * half
			return p
		}
		p := thick([2]float64{})
		got := must(p.Overlaps(bg, limit))
		in := 0
		const tries = 20000
		for range tries {
			q := geom.Point3{X: -4 + 8*rng.Float64(), Y: 15, Z: -4 + 8*rng.Float64()}
			both := true
			for n, s := range p.plates {
				l := s.local(q)
				both = both && l.X >= 0 && l.X <= widths[n] && l.Z >= -half && l.Z <= half
			}
			if both {
				in++
			}
		}
		switch area := 64 * float64(in) / tries; {
		case len(got) == 0 && area > limit*4*half: // as deep over the most that two such boards can share
			t.Errorf("%v: %.2f mm² are shared", turned, area)
		case len(got) > 0 && area == 0:
			t.Errorf("%v: %+v, and no point in both", turned, got[0])
		}
		if len(got) == 0 {
			continue
		}
		found++
		for n := range 2 {
			// Only ends on this side are moved.
			if got[0].Trims[n] == 0 || got[0].Toward[n].Dot(frames[n].ApplyDir(geom.Point3{X: 1})) < 0.9 {
				continue
			}
			var starts [2]float64
			starts[n] = got[0].Trims[n] + 1e-6
			if after := must(thick(starts).Overlaps(bg, 0.01)); len(after) > 0 {
				t.Errorf("%v: panel %d begins %g later, and %+v", turned, n, starts[n], after[0])
			}
			trimmed++
		}
	}
	if found < 100 || trimmed < 100 {
		t.Errorf("only %d overlaps, %d trimmed", found, trimmed)
	}
}
