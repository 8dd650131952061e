package blank

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the tree finds exactly the boxes that hold the point, whatever their
// sizes and however many lie on one another.
func TestBoxTreeFindsWhatHolds(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for _, n := range []int{0, 1, 4, 5, 37, 400} {
		boxes := make([]geom.Box, n)
		for i := range boxes {
			p := geom.Pt(float64(rng.Intn(50)), float64(rng.Intn(50)))
			boxes[i] = geom.BoxOf(p, p.Add(geom.Pt(float64(rng.Intn(20)), float64(rng.Intn(20)))))
		}
		tree := newBoxTree(boxes)
		for range 200 {
			q := geom.Pt(float64(rng.Intn(70)), float64(rng.Intn(70)))
			var got, want []int
			tree.holding(q, func(i int) { got = append(got, i) })
			for i, b := range boxes {
				if b.Holds(q) {
					want = append(want, i)
				}
			}
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("%d boxes, point %v: found %v, want %v", n, q, got, want)
			}
		}
	}
}
