package region

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// welded gives the spots of some points, tied, and each point's node.
func welded(points []geom.Point) (*snapper, []int32) {
	w, of := newSnapper(len(points)), make([]int32, len(points))
	for i, p := range points {
		of[i] = w.index(p)
	}
	w.merge()
	for i, k := range of {
		of[i] = w.root(k)
	}
	return w, of
}

// Laws: no node is wider than weldSpan; two points in one node hang together
// by steps of at most a weld; two points within a weld are parted only where
// one node would be too wide.
func TestSnapperLaws(t *testing.T) {
	for seed := range int64(30) {
		rnd := rand.New(rand.NewSource(seed))
		var points []geom.Point
		for range 200 {
			points = append(points, geom.Pt(rnd.Float64()*0.04, rnd.Float64()*0.04))
		}
		w, of := welded(points)
		members := map[int32][]geom.Point{}
		for i, k := range of {
			members[k] = append(members[k], points[i])
		}
		for k, all := range members {
			if b := geom.BoxOf(all...); max(b.Width(), b.Height()) > maxNodeSpan || w.points[k] != all[0] {
				t.Errorf("seed %d: node at %v of points %v", seed, w.points[k], all)
			}
			if n := linked(all); n != len(all) {
				t.Errorf("seed %d: only %d of %d points of a node hang together", seed, n, len(all))
			}
		}
		for i, p := range points {
			for j, q := range points[:i] {
				both := geom.BoxOf(append(members[of[i]], members[of[j]]...)...)
				if of[i] != of[j] && p.Dist(q) <= geom.SnapTolerance && max(both.Width(), both.Height()) <= maxNodeSpan {
					t.Errorf("seed %d: %v and %v are parted without need", seed, p, q)
				}
			}
		}
	}
}

// linked counts the points that hang together with the first by steps of at
// most a weld.
func linked(points []geom.Point) int {
	reached := []geom.Point{points[0]}
	left := points[1:]
	for i := 0; i < len(reached); i++ {
		var far []geom.Point
		for _, p := range left {
			if p.Dist(reached[i]) <= geom.SnapTolerance {
				reached = append(reached, p)
			} else {
				far = append(far, p)
			}
		}
		left = far
	}
	return len(reached)
}

// Points on whole millimetres, and a hair to either side of them, are one node
// each: the cells' rims lie elsewhere, and would not matter.
func TestSnapperOnRoundCoordinates(t *testing.T) {
	var points []geom.Point
	for x := range 50 {
		for _, off := range []float64{0, 1e-12, -1e-12, 9e-4, -9e-4} {
			points = append(points, geom.Pt(float64(x)+off, -float64(x)-off/4))
		}
	}
	w, of := welded(points)
	for i, k := range of {
		if w.points[k] != points[i/5*5] {
			t.Errorf("%v went to %v", points[i], w.points[k])
		}
	}
	if len(w.points) != 150 {
		t.Errorf("%d spots, want 150: rounding makes none", len(w.points))
	}
}

// Two edges that end together stay together whatever else is near: ends on two
// arcs that lie on either side of them, and a corner nearer to one of the two.
func TestEndsThatMeetStayTogether(t *testing.T) {
	const off = 0.8 * geom.SnapTolerance
	a := geom.LineFrom(geom.Pt(0, 0), geom.Pt(40, 0))
	b := geom.LineFrom(geom.Pt(40, off), geom.Pt(0, off))
	for name, others := range map[string][]geom.Curve{
		"alone": nil,
		"a corner below the one": {
			geom.LineFrom(geom.Pt(40, -off), geom.Pt(60, -9)), geom.LineFrom(geom.Pt(0, -off), geom.Pt(-20, -9)),
		},
		"a corner above the other": {
			geom.LineFrom(geom.Pt(40, 2*off), geom.Pt(60, 9)), geom.LineFrom(geom.Pt(0, 2*off), geom.Pt(-20, 9)),
		},
		"arcs on either side": {
			geom.ArcFrom(geom.Pt(0, -off), geom.Pt(0, -30-off), geom.Radians(-1)), geom.ArcFrom(geom.Pt(0, 2*off), geom.Pt(0, 30+2*off), geom.Radians(1)),
		},
	} {
		arr := Arrange(append([]geom.Curve{a, b}, others...))
		together := 0.0
		for _, p := range arr.Edges {
			if len(p.Origins) > 1 && p.Origins[0].Curve == 0 && p.Origins[1].Curve == 1 {
				together += p.Length()
			}
		}
		if together < 40-0.01 {
			t.Errorf("%s: the two run together for %v of 40 mm", name, together)
		}
	}
}
