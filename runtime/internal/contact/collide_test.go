package contact

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// upright turns a panel's frame about its x axis to stand in the plane y = 0,
// its y axis up, and lifts it.
func upright(lift geom.Point3) geom.RigidTransform {
	m := geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Radians(math.Pi/2))
	m.T = lift
	return m
}

// Two rectangles that cross at a right angle, by hand.
func TestTouchByHand(t *testing.T) {
	floor := rect(-50, -50, 100, 100)
	ring := append(rect(-50, -50, 100, 100), []geom.Point{{X: -20, Y: -20}, {X: -20, Y: 20}, {X: 20, Y: 20}, {X: 20, Y: -20}})
	notched := [][]geom.Point{{{X: -50, Y: -50}, {X: 50, Y: -50}, {X: 50, Y: 50}, {X: 10, Y: 50}, {X: 10, Y: -5}, {X: -10, Y: -5}, {X: -10, Y: 50}, {X: -50, Y: 50}}}
	wall := rect(-30, -10, 60, 40) // dips 10 mm below its x axis
	for _, c := range []struct {
		name  string
		floor [][]geom.Point
		wall  [][]geom.Point
		at    geom.Point3
		depth float64
		part  geom.Point3
		mid   geom.Point3
	}{
		{"pulled up", floor, wall, geom.Point3{}, 10, geom.Point3{Z: 1}, geom.Point3{}},
		{"stands on the floor", floor, wall, geom.Point3{Z: 10}, 0, geom.Point3{}, geom.Point3{}},
		{"hangs under the floor", floor, wall, geom.Point3{Z: -31}, 0, geom.Point3{}, geom.Point3{}},
		{"pushed off the end", floor, wall, geom.Point3{X: 77}, 3, geom.Point3{X: 1}, geom.Point3{X: 48.5}},
		{"out over the side", floor, wall, geom.Point3{Y: 46}, 4, geom.Point3{Y: 1}, geom.Point3{Y: 46}},
		{"ends meet", floor, wall, geom.Point3{X: 80}, 0, geom.Point3{}, geom.Point3{}},
		{"through a window", ring, rect(-19, -10, 38, 40), geom.Point3{}, 0, geom.Point3{}, geom.Point3{}},
		{"over a window's rim", ring, rect(-19, -10, 38, 40), geom.Point3{X: 2.5}, 1.5, geom.Point3{X: -1}, geom.Point3{X: 20.75}},
		{"too wide for a window", ring, wall, geom.Point3{}, 10, geom.Point3{Z: 1}, geom.Point3{X: 25}},
		{"in a notch", notched, rect(-9, -10, 18, 40), geom.Point3{}, 0, geom.Point3{}, geom.Point3{}},
		{"at the end of a notch", notched, rect(-9, -10, 18, 40), geom.Point3{Y: -7}, 2, geom.Point3{Y: 1}, geom.Point3{Y: -7}},
	} {
		p := loose([]geom.RigidTransform{geom.Identity3(), upright(c.at)}, c.floor, c.wall)
		if c.depth == 0 {
			if len(p.Penetrations) > 0 {
				t.Errorf("%s: %+v", c.name, p.Penetrations[0])
			}
			continue
		}
		if len(p.Penetrations) != 1 {
			t.Errorf("%s: %d touches", c.name, len(p.Penetrations))
			continue
		}
		got := p.Penetrations[0]
		near(t, c.name+": depth", got.Depth, c.depth, 1e-9)
		near3(t, c.name+": way", got.Part, c.part, 1e-9)
		at := got.At
		at.X = math.Abs(at.X) // of two equal stretches either will do
		near3(t, c.name+": spot", at, c.mid, 1e-9)
		near(t, c.name+": spot on the blank", got.AtBlank.Dist(got.At.Plane()), 0, 1e-9)
	}
}

// Law: contact is symmetric, and moving both panels alike moves the spot and
// changes nothing else.
func TestTouchLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	touched := 0
	for n := range 400 {
		a, b := randomBoard(rng, 30), randomBoard(rng, 30)
		ma, mb := randomMotion(rng, 20), randomMotion(rng, 20)
		one := loose([]geom.RigidTransform{ma, mb}, a, b)
		two := loose([]geom.RigidTransform{mb, ma}, b, a)
		m := randomMotion(rng, 500)
		moved := loose([]geom.RigidTransform{ma.Then(m), mb.Then(m)}, a, b)
		if len(one.Penetrations) != len(two.Penetrations) || len(one.Penetrations) != len(moved.Penetrations) {
			t.Fatalf("pair %d: %d, %d, %d touches", n, len(one.Penetrations), len(two.Penetrations), len(moved.Penetrations))
		}
		for i, c := range one.Penetrations {
			touched++
			what := fmt.Sprintf("pair %d", n)
			near(t, what+" swapped: depth", two.Penetrations[i].Depth, c.Depth, 1e-9)
			near3(t, what+" swapped: spot", two.Penetrations[i].At, c.At, 1e-9)
			near(t, what+" moved: depth", moved.Penetrations[i].Depth, c.Depth, 1e-8)
			near3(t, what+" moved: spot", moved.Penetrations[i].At, m.Apply(c.At), 1e-7)
			near3(t, what+" moved: way", moved.Penetrations[i].Part, m.ApplyDir(c.Part), 1e-7)
		}
	}
	if touched < 80 {
		t.Errorf("only %d pairs touched", touched)
	}
}

// Law: the move that a touch names parts its panels, whatever their shape.
func TestTouchParts(t *testing.T) {
	rng := rand.New(rand.NewSource(12))
	touched := 0
	for n := range 500 {
		shapes := [][][]geom.Point{randomBoard(rng, 30), randomBoard(rng, 30)}
		frames := []geom.RigidTransform{randomMotion(rng, 20), randomMotion(rng, 20)}
		p := loose(frames, shapes...)
		if len(p.Penetrations) == 0 {
			continue
		}
		touched++
		c := p.Penetrations[0]
		frames[1].T = frames[1].T.Add(c.Part.Mul(c.Depth + 1e-9))
		if q := loose(frames, shapes...); len(q.Penetrations) > 0 {
			t.Errorf("pair %d: moved by its depth of %g it still crosses by %g", n, c.Depth, q.Penetrations[0].Depth)
		}
	}
	if touched < 120 {
		t.Errorf("only %d pairs touched", touched)
	}
}

// The depth of convex panels is the least, over all directions, of how far one
// must move that way to clear the other: no sampled direction is shorter, and
// the best of many, narrowed down, comes as near as sampling can.
func TestDepthIsLeastOfAllDirections(t *testing.T) {
	rng := rand.New(rand.NewSource(13))
	touched, worst := 0, 0.0
	for n := range 150 {
		shapes := [][][]geom.Point{{randomConvex(rng, 30)}, {randomConvex(rng, 30)}}
		p := loose([]geom.RigidTransform{randomMotion(rng, 15), randomMotion(rng, 15)}, shapes...)
		if len(p.Penetrations) == 0 {
			continue
		}
		touched++
		least := sampledDepth(rng, p.plates[0].hull, p.plates[1].hull)
		depth := p.Penetrations[0].Depth
		if least < depth-1e-9 {
			t.Errorf("pair %d: a direction parts them by %g, the depth is %g", n, least, depth)
		}
		worst = math.Max(worst, least-depth)
	}
	if touched < 40 || worst > 1e-3 {
		t.Errorf("%d pairs touched, the sampled depth is up to %g larger", touched, worst)
	}
}

// sampledDepth tries directions all round, then ever nearer to the best.
func sampledDepth(rng *rand.Rand, a, b []geom.Point3) float64 {
	overlap := func(d geom.Point3) float64 {
		hi, lo := math.Inf(-1), math.Inf(1)
		for _, p := range a {
			hi = math.Max(hi, p.Dot(d))
		}
		for _, p := range b {
			lo = math.Min(lo, p.Dot(d))
		}
		return hi - lo
	}
	random := func() geom.Point3 {
		return geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}.Unit()
	}
	least := math.Inf(1)
	for range 12 { // there are several valleys
		best := random()
		for range 1000 {
			if d := random(); overlap(d) < overlap(best) {
				best = d
			}
		}
		for spread := 0.3; spread > 1e-6; spread *= 0.85 {
			for range 20 {
				if d := best.Add(random().Mul(spread)).Unit(); overlap(d) < overlap(best) {
					best = d
				}
			}
		}
		least = math.Min(least, overlap(best))
	}
	return least
}

// Planes that nearly coincide give small, steady depths: tilting a panel about
// its middle by ever less brings the depth to 0 and never makes it jump.
func TestGrazingPlanes(t *testing.T) {
	for angle := 0.5; angle > 1e-9; angle *= 0.7 {
		m := geom.RotationAbout(geom.Point3{}, geom.Point3{X: 0.3, Y: 1}, geom.Radians(angle))
		p := loose([]geom.RigidTransform{geom.Identity3(), m}, rect(-50, -40, 100, 80), rect(-45, -45, 90, 90))
		want := 65 * math.Sin(angle) // no more than pulling it out by its farthest corner
		switch {
		case angle < parallel && want > caliper:
			// The rim of what they share may be within a caliper, or not.
		case angle < parallel:
			if len(p.layerList()) != 1 || len(p.Penetrations) != 0 {
				t.Errorf("tilted %g: %d layers, %d touches", angle, len(p.layerList()), len(p.Penetrations))
			}
		case len(p.Penetrations) != 1 || p.Penetrations[0].Depth > want:
			t.Errorf("tilted %g: %+v", angle, p.Penetrations)
		case p.Penetrations[0].Depth < want/3:
			t.Errorf("tilted %g: depth %g is far too small for %g", angle, p.Penetrations[0].Depth, want)
		}
	}
}

// Law: no shorter move parts two panels of any shape: of many random moves a
// little shorter than the depth none does.
func TestDepthIsLeastForAnyShape(t *testing.T) {
	rng := rand.New(rand.NewSource(14))
	crossed := 0
	for n := range 400 {
		shapes := [][][]geom.Point{randomBoard(rng, 30), randomBoard(rng, 30)}
		p := loose([]geom.RigidTransform{randomMotion(rng, 15), randomMotion(rng, 15)}, shapes...)
		if len(p.Penetrations) == 0 || p.plates[0].body.Convex && p.plates[1].body.Convex {
			continue
		}
		crossed++
		depth := p.Penetrations[0].Depth
		x := cross(&p.plates[0], &p.plates[1])
		for range 1500 {
			way := geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}.Unit()
			if share := math.Cbrt(rng.Float64()); depth*share < depth-1e-6 && x.parts(way.Mul(depth*share)) {
				t.Errorf("pair %d: a move of %g parts them, the depth is %g", n, depth*share, depth)
				break
			}
		}
	}
	if crossed < 100 {
		t.Errorf("only %d pairs crossed", crossed)
	}
}

// A flap that sticks far out through a wall comes out, however close to it the
// wall's rim ends.
func TestOut(t *testing.T) {
	for _, rim := range []float64{0.1, 0.4, 3} {
		// The wall stands in the plane x = 0, from z = -30 to rim.
		wall := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(90).Angle())
		p := loose([]geom.RigidTransform{geom.Identity3(), wall}, rect(-20, -5, 28.6, 10), rect(-rim, -15, 30+rim, 30))
		if len(p.Penetrations) != 1 {
			t.Fatalf("rim %g: %d crossings", rim, len(p.Penetrations))
		}
		near(t, "the flap", p.Penetrations[0].Out[0], 8.6, 1e-9)
		near(t, "the wall", p.Penetrations[0].Out[1], rim, 1e-9)
	}
}
