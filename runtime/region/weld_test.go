package region

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: no point moves further than a weld, nodes lie more than a weld apart,
// and a point within a weld of no other keeps its place.
func TestWelderLaws(t *testing.T) {
	rnd := rand.New(rand.NewSource(5))
	w := &welder{first: map[cell]int32{}}
	var points []geom.Point
	for range 3000 {
		points = append(points, geom.Pt(rnd.Float64()*0.05, rnd.Float64()*0.05))
	}
	var of []int32
	for _, p := range points {
		k := w.node(p)
		of = append(of, k)
		if d := w.nodes[k].Dist(p); d > geom.Weld {
			t.Fatalf("%v moved by %v", p, d)
		}
	}
	for i, p := range w.nodes {
		for _, q := range w.nodes[i+1:] {
			if p.Dist(q) <= geom.Weld {
				t.Fatalf("nodes %v and %v are one", p, q)
			}
		}
	}
	// Each point has the nearest of the nodes there were when it came.
	for i, p := range points {
		for k, q := range w.nodes[:of[i]] {
			if q.Dist(p) < w.nodes[of[i]].Dist(p) {
				t.Fatalf("point %d is nearer to node %d", i, k)
			}
		}
	}
}

// Points on whole millimetres, and a hair to either side of them, are one node
// each: the cells' rims lie elsewhere, and would not matter.
func TestWelderOnRoundCoordinates(t *testing.T) {
	w := &welder{first: map[cell]int32{}}
	for x := range 50 {
		for _, off := range []float64{0, 1e-12, -1e-12, 9e-4, -9e-4} {
			w.node(geom.Pt(float64(x)+off, -float64(x)-off/4))
		}
	}
	if len(w.nodes) != 50 {
		t.Errorf("%d nodes, want 50", len(w.nodes))
	}
}
