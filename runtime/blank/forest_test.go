package blank

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: a forest finds what a comparison with every box added so far finds, in
// ascending order of the numbers.
func TestBoxForest(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	var f boxForest
	var all []geom.Box
	for n := range 400 {
		at := geom.Pt(20*rng.Float64(), 20*rng.Float64())
		b := geom.Box{Min: at, Max: at.Add(geom.Pt(4*rng.Float64(), 4*rng.Float64()))}
		var want []int
		for i, o := range all {
			if b.Intersects(o) {
				want = append(want, 3*i)
			}
		}
		if got := f.intersecting(b, nil); !slices.Equal(got, want) {
			t.Fatalf("of %d boxes: %v, want %v", n, got, want)
		}
		f.add(b, 3*n)
		all = append(all, b)
		if len(f) > 9 {
			t.Fatalf("%d boxes in %d trees", n+1, len(f))
		}
	}
}
