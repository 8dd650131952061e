package contact

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// flipped turns a panel over about its y axis and moves it.
func flipped(to geom.Point3) geom.RigidTransform {
	m := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Radians(math.Pi))
	m.T = to
	return m
}

func shifted(to geom.Point3) geom.RigidTransform {
	return geom.RigidTransform{R: geom.Identity3().R, T: to}
}

// Parallel rectangles by hand: common ground, distance, and which lies inside.
func TestLayersByHand(t *testing.T) {
	board := rect(0, 0, 40, 30)
	ring := append(rect(0, 0, 40, 30), []geom.Point{{X: 10, Y: 5}, {X: 10, Y: 25}, {X: 30, Y: 25}, {X: 30, Y: 5}})
	for _, c := range []struct {
		name   string
		a, b   [][]geom.Point
		at     geom.RigidTransform
		area   float64 // 0 for no layer
		gap    float64
		inside bool
	}{
		// In one plane and never folded, the first lies on the inside of the second.
		{"on one another", board, board, geom.Identity3(), 1200, 0, false},
		{"a corner over", board, board, shifted(geom.Point3{X: 30, Y: 20}), 100, 0, false},
		{"inside by a caliper", board, board, shifted(geom.Point3{X: 20, Z: -caliper}), 600, caliper, true},
		{"outside by half a caliper", board, board, shifted(geom.Point3{X: 20, Z: caliper / 2}), 600, caliper / 2, false},
		{"more than a caliper off", board, board, shifted(geom.Point3{Z: -caliper - 0.01}), 0, 0, false},
		{"edge to edge", board, board, shifted(geom.Point3{X: 40}), 0, 0, false},
		{"less than the snap tolerance over", board, board, shifted(geom.Point3{X: 40 - geom.SnapTolerance/2}), 0, 0, false},
		{"face to face", board, board, flipped(geom.Point3{X: 50}), 900, 0, true},
		{"in a window", ring, rect(10, 5, 20, 20), geom.Identity3(), 0, 0, false},
		{"over a window's rim", ring, rect(10, 5, 20, 20), shifted(geom.Point3{X: 5}), 100, 0, false},
		{"over a window", ring, board, flipped(geom.Point3{X: 40}), 800, 0, true},
	} {
		p := loose([]geom.RigidTransform{geom.Identity3(), c.at}, c.a, c.b)
		if len(p.Penetrations) > 0 {
			t.Errorf("%s: %+v", c.name, p.Penetrations[0])
		}
		if c.area == 0 {
			if len(p.layerList()) > 0 {
				t.Errorf("%s: %+v", c.name, p.layerList()[0])
			}
			continue
		}
		if len(p.layerList()) != 1 {
			t.Errorf("%s: %d layers", c.name, len(p.layerList()))
			continue
		}
		l := p.layerList()[0]
		near(t, c.name+": area", l.Area, c.area, 1e-9)
		near(t, c.name+": gap", l.Gap, c.gap, 1e-9)
		if l.Inside != c.inside || l.Glued || l.Hinged {
			t.Errorf("%s: %+v", c.name, l)
		}
		at, _ := p.Spot(l)
		for i := range p.plates {
			if s := &p.plates[i]; !polygon.Holds(s.body.Loops, s.local(at).Plane()) {
				t.Errorf("%s: the spot %+v is not on panel %d", c.name, at, i)
			}
		}
	}
}

// Law: of two boards in one plane the common ground is the same whichever comes
// first and wherever both are; and throwing points at it estimates it to within
// three standard errors or so.
func TestLayerLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(21))
	found := 0
	for n := range 300 {
		a, b := randomBoard(rng, 30), randomBoard(rng, 30)
		turn := geom.RotationAbout(geom.Point3{}, geom.Point3{Z: 1}, geom.Radians(rng.Float64()*7))
		turn.T = geom.Point3{X: rng.Float64() * 30, Y: rng.Float64() * 30}
		if rng.Intn(2) == 0 {
			turn = turn.Then(flipped(geom.Point3{}))
		}
		m := randomMotion(rng, 300)
		one := loose([]geom.RigidTransform{geom.Identity3(), turn}, a, b)
		two := loose([]geom.RigidTransform{turn.Then(m), m}, b, a)
		if len(one.Penetrations)+len(two.Penetrations) > 0 || len(one.layerList()) != len(two.layerList()) {
			t.Fatalf("pair %d: %d and %d layers", n, len(one.layerList()), len(two.layerList()))
		}
		if len(one.layerList()) == 0 {
			continue
		}
		found++
		near(t, "area the other way round", two.layerList()[0].Area, one.layerList()[0].Area, 1e-6)
		near(t, "area by sampling", one.layerList()[0].Area, sampledArea(rng, one), 25)
	}
	if found < 200 {
		t.Errorf("only %d pairs have common ground", found)
	}
}

// sampledArea estimates the common ground of two panels by throwing points.
func sampledArea(rng *rand.Rand, p *Posed) float64 {
	const throws = 40_000
	hits := 0
	b := p.plates[0].box
	for range throws {
		q := geom.Point3{X: b.min.X + rng.Float64()*(b.max.X-b.min.X), Y: b.min.Y + rng.Float64()*(b.max.Y-b.min.Y)}
		if polygon.Holds(p.plates[0].body.Loops, p.plates[0].local(q).Plane()) && polygon.Holds(p.plates[1].body.Loops, p.plates[1].local(q).Plane()) {
			hits++
		}
	}
	return float64(hits) / throws * (b.max.X - b.min.X) * (b.max.Y - b.min.Y)
}

// A lid that comes down on two dust flaps, in their plane or a caliper outside
// it, lies on them and collides with nothing.
func TestLidOverDustFlaps(t *testing.T) {
	for _, raise := range []string{"0", "card.caliper"} {
		f := fromScript(t, `
front = panel("front", rect(80, 100))
right = panel("right", rect(50, 100 - `+raise+`), on = front.right)
back = panel("back", rect(80, 100 + `+raise+`), on = right.right)
left = panel("left", rect(50, 100 - `+raise+`), on = back.right)
tab("seam", on = front.left, depth = 12, to = left.right)
for side in [right, left]:
    flap(side.name + " dust", on = side.top, depth = 30, taper = 10)
lid = flap("lid", on = back.top, depth = 50)
piece("box", front, board = card)
`)
		p := f.closed()
		if len(p.Penetrations) > 0 {
			c := p.Penetrations[0]
			t.Errorf("raised %s: %s and %s cross by %g", raise, p.Piece.Panels[c.A].Name, p.Piece.Panels[c.B].Name, c.Depth)
		}
		for _, side := range []string{"right", "left"} {
			l, ok := p.layerOf("lid", side+" dust")
			if !ok || l.Glued || l.Hinged {
				t.Errorf("raised %s: %v %+v", raise, ok, l)
			}
			// 50 wide at the hinge, 30 deep, both sides leaning in by 10 degrees.
			near(t, "ground under the lid", l.Area, 30*(50-30*math.Tan(10*math.Pi/180)), 1e-6)
		}
		if l, ok := p.layerOf("seam", "left"); !ok || !l.Glued {
			t.Errorf("raised %s: the seam: %v %+v", raise, ok, l)
		}
	}
}

// Law: what is kept for groups of coincident panels is what two panels looked
// at by themselves have in common, for boards with and without holes, copied
// face up and face down, in and off one plane.
func TestGroupsAgreeWithPairs(t *testing.T) {
	rng := rand.New(rand.NewSource(71))
	pairs, grouped := 0, 0
	for range 40 {
		frames, shapes := randomHeap(rng, 6, true)
		for i := range 6 {
			frames[i].T.Z = float64(rng.Intn(3)) * caliper / 2
		}
		for range 8 {
			k := rng.Intn(len(frames))
			if m, loops := frames[k], shapes[k]; rng.Intn(2) == 0 {
				frames, shapes = append(frames, m), append(shapes, loops)
			} else {
				frames, shapes = append(frames, flipped(geom.Point3{}).Then(m)), append(shapes, mirrored(loops))
			}
		}
		p := loose(frames, shapes...)
		grouped += len(frames) - len(p.layers.groups.members)
		found := map[pair]Layer{}
		last := pair{-1, -1}
		for l := range p.Layers() {
			if q := (pair{l.A, l.B}); q.a >= q.b || q.a < last.a || q.a == last.a && q.b <= last.b {
				t.Fatalf("pair %v after %v", q, last)
			}
			last = pair{l.A, l.B}
			found[last] = l
		}
		for i := range frames {
			for j := i + 1; j < len(frames); j++ {
				want, ok := p.common(i, j)
				l, got := found[pair{i, j}]
				if ok != got {
					t.Fatalf("panels %d and %d: %v, by themselves %v", i, j, got, ok)
				}
				if !ok {
					continue
				}
				pairs++
				near(t, "area", l.Area, want.area, 1e-4)
				near(t, "gap", l.Gap, math.Abs(want.height), 1e-6)
				if far := math.Abs(want.height) > geom.SnapTolerance; far && l.Inside != (want.height < 0) {
					t.Errorf("%+v, at a height of %g", l, want.height)
				}
			}
		}
	}
	if pairs < 1000 || grouped < 300 {
		t.Errorf("only %d pairs, %d panels in groups of others", pairs, grouped)
	}
}

// mirrored is a board as it is seen from its back, turned about the y axis.
func mirrored(loops [][]geom.Point) [][]geom.Point {
	out := make([][]geom.Point, len(loops))
	for k, loop := range loops {
		for i := range loop {
			q := loop[len(loop)-1-i]
			out[k] = append(out[k], geom.Pt(-q.X, q.Y))
		}
	}
	return out
}

// Panels a hair apart, turned by a hair, or with another hole do not count as
// coincident.
func TestCoincidence(t *testing.T) {
	holed := append(rect(0, 0, 40, 30), []geom.Point{{X: 10, Y: 5}, {X: 10, Y: 25}, {X: 30, Y: 25}, {X: 30, Y: 5}})
	moved := append(rect(0, 0, 40, 30), []geom.Point{{X: 11, Y: 5}, {X: 11, Y: 25}, {X: 31, Y: 25}, {X: 31, Y: 5}})
	at := geom.Identity3()
	for _, c := range []struct {
		name  string
		frame geom.RigidTransform
		a, b  [][]geom.Point
		want  bool
	}{
		{"the same", at, holed, holed, true},
		{"from another corner", at, rect(0, 0, 40, 30), [][]geom.Point{{{X: 40}, {X: 40, Y: 30}, {Y: 30}, {}}}, true},
		{"shifted within the tolerance", shifted(geom.Point3{X: 5e-7}), holed, holed, true},
		{"shifted beyond it", shifted(geom.Point3{X: 2e-6}), holed, holed, false},
		{"off the plane", shifted(geom.Point3{Z: 2e-6}), holed, holed, false},
		{"the hole elsewhere", at, holed, moved, false},
		{"no hole", at, holed, rect(0, 0, 40, 30), false},
		{"face down", flipped(geom.Point3{X: 40}), holed, holed, true},
		{"face down, the hole elsewhere", flipped(geom.Point3{X: 40}), moved, moved, false},
	} {
		p := loose([]geom.RigidTransform{at, c.frame}, c.a, c.b)
		if got := p.plates[1].coincides(&p.plates[0]); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
