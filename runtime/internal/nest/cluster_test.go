package nest

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: long arms are laid nested. Of angles 50 wide with arms of 700 and 550 a cluster
// fills its hull better; what it stands for is as many copies as before, none of which overlap
// each other and all of which lie where the cluster lies, however that is turned.
func TestClusters(t *testing.T) {
	angle := ringOf([][2]float64{{0, 0}, {700, 0}, {700, 50}, {50, 50}, {50, 550}, {0, 550}})
	s, err := NewShape([][]geom.Curve{angle}, 0)
	if err != nil {
		t.Fatal(err)
	}
	j, err := newJob(t.Context(), []Part{{s, []int{0, 2}, 17}})
	if err != nil {
		t.Fatal(err)
	}
	c, ok := j.clusters()
	if !ok || len(c.parts) != 2 || len(c.copies[0]) != 5 || c.parts[0].Count != 3 || c.parts[1].Count != 2 {
		t.Fatalf("%v %+v", ok, c.copies)
	}
	whole := c.parts[0]
	if math.Abs(whole.Area()-5*s.Area()) > 1e-6 || len(whole.Turns) != 2 {
		t.Errorf("area %g of 5 × %g, turns %v", whole.Area(), s.Area(), whole.Turns)
	}
	for _, turn := range whole.Turns {
		l := laid{0, turn, vec{123, 456}}
		at := c.split([]laid{l})
		box := nothing()
		for i, a := range at {
			b := j.box(a)
			box = box.with(b.lo).with(b.hi)
			for _, other := range at[:i] {
				if j.overlap(a, other) {
					t.Errorf("turned by %d: two copies overlap", turn)
				}
			}
		}
		if want := whole.bounds.turned(turn).shifted(l.at); box != want {
			t.Errorf("turned by %d: copies within %v, the cluster within %v", turn, box, want)
		}
	}
}
