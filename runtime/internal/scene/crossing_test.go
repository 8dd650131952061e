package scene

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// crossed is two squares that cross along the y axis at a square angle, with a
// hole in the first.
func crossed() Input {
	first := rectangle(60, 60)
	in := loose([]blank.Ring{first, rectangle(40, 40)}, []geom.RigidTransform{
		geom.Identity3(), geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Radians(math.Pi/2)),
	})
	hole := blank.Ring{}
	for _, c := range rectangle(10, 10) {
		hole = append(blank.Ring{c.Reverse()}, hole...)
	}
	in.Blank.Sheets[0].Rings = append(in.Blank.Sheets[0].Rings, hole)
	return in
}

// The crossing runs where both have board: 40 mm less the 10 mm of the hole,
// all of it before everything else.
func TestCrossingLine(t *testing.T) {
	in := crossed()
	v := Look(40, 0)
	if n := kindLength(pictured(in, v), Crossing); n != 0 {
		t.Errorf("%g mm of crossing without being asked", n)
	}
	in.Piercing = [][2]int{{0, 1}}
	p := pictured(in, v)
	if n := kindLength(p, Crossing); !near(n, 30, 1e-6) {
		t.Errorf("%g mm of crossing, want 30", n)
	}
	for _, l := range p.Lines {
		for _, q := range l.Points {
			if l.Kind == Crossing && math.Abs(q.X) > 1e-9 {
				t.Errorf("the crossing runs through %v", q)
			}
		}
	}
}

// A board before the crossing hides its part of it.
func TestHiddenCrossing(t *testing.T) {
	in := crossed()
	in.Piercing = [][2]int{{0, 1}}
	before := geom.Identity3()
	before.T = geom.Point3{Y: 10, Z: 50}
	more := loose([]blank.Ring{rectangle(80, 10)}, []geom.RigidTransform{before})
	in.Blank.Sheets = append(in.Blank.Sheets, more.Blank.Sheets...)
	in.Pose.Place = append(in.Pose.Place, more.Pose.Place...)
	if n := kindLength(pictured(in, Look(10, 0)), Crossing); !near(n, 20, 1e-6) {
		t.Errorf("%g mm of crossing show, want 20", n)
	}
}

// Panels that only touch, or lie flush, have no crossing to draw.
func TestNoCrossing(t *testing.T) {
	beside := geom.Identity3()
	beside.T = geom.Point3{X: 20}
	wall := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Radians(math.Pi/2))
	wall.T = geom.Point3{Z: -20}
	for name, m := range map[string]geom.RigidTransform{"flush": beside, "touching": wall} {
		in := loose([]blank.Ring{rectangle(60, 60), rectangle(40, 40)}, []geom.RigidTransform{geom.Identity3(), m})
		in.Piercing = [][2]int{{0, 1}}
		if n := kindLength(pictured(in, Look(40, 10)), Crossing); n != 0 {
			t.Errorf("%s: %g mm of crossing", name, n)
		}
	}
}
