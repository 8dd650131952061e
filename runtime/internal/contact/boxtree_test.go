package contact

import (
	"context"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the tree gives every pair of plates whose boxes come near, once, and
// no other, along whichever axis they spread.
func TestBoxTreeMissesNothing(t *testing.T) {
	rng := rand.New(rand.NewSource(61))
	for _, spread := range []geom.Point3{{X: 300, Y: 20, Z: 20}, {X: 20, Y: 300, Z: 20}, {X: 20, Y: 20, Z: 300}, {X: 60, Y: 60, Z: 60}} {
		frames, shapes := make([]geom.RigidTransform, 80), make([][][]geom.Point, 80)
		for i := range frames {
			frames[i], shapes[i] = randomMotion(rng, 1), randomBoard(rng, 15)
			frames[i].T = geom.Point3{X: spread.X * rng.Float64(), Y: spread.Y * rng.Float64(), Z: spread.Z * rng.Float64()}
		}
		plates := loose(frames, shapes...).plates
		plates[7].ok = false
		const d = 0.7
		seen := map[pair]int{}
		boxes := make([]box3, len(plates))
		for i := range plates {
			boxes[i] = plates[i].box
		}
		tree := newBoxTree(boxes, func(i int) bool { return plates[i].ok })
		last := pair{-1, -1}
		err := tree.pairs(context.Background(), d, func(i, j int) error {
			if i >= j || i < last.a || i == last.a && j <= last.b {
				t.Fatalf("pair %d, %d after %v", i, j, last)
			}
			last = pair{i, j}
			seen[pair{i, j}]++
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		for i := range plates {
			for j := i + 1; j < len(plates); j++ {
				want := 0
				if plates[i].ok && plates[j].ok && plates[i].box.within(plates[j].box, d) {
					want = 1
				}
				if seen[pair{i, j}] != want {
					t.Errorf("pair %d, %d visited %d times, want %d", i, j, seen[pair{i, j}], want)
				}
			}
		}
	}
}
