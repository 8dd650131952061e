package contact

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

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
				if far := math.Abs(want.height) > geom.SnapTolerance; l.sure != far || far && l.Inside != (want.height < 0) {
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
		{"shifted within the tolerance", shifted(geom.Point3{X: coincidence / 2}), holed, holed, true},
		{"shifted beyond it", shifted(geom.Point3{X: 2 * coincidence}), holed, holed, false},
		{"off the plane", shifted(geom.Point3{Z: 2 * coincidence}), holed, holed, false},
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
