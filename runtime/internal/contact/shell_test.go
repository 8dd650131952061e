package contact

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: Near gives what asking every panel gives, in order of making, and leaves
// out the panel itself and those without a place; long panels among short ones
// included.
func TestNear(t *testing.T) {
	rng := rand.New(rand.NewSource(81))
	frames, shapes := make([]geom.RigidTransform, 90), make([][][]geom.Point, 90)
	for i := range frames {
		frames[i], shapes[i] = randomMotion(rng, 100), randomBoard(rng, 12)
		if i%30 == 0 {
			shapes[i] = rect(-200, -2, 400, 4)
		}
	}
	p := loose(frames, shapes...)
	p.Pose.Place[7].OK = false
	s := p.Shell()
	found := 0
	for range 300 {
		i := rng.Intn(len(frames))
		if i == 7 {
			continue
		}
		d := math.Pow(10, rng.Float64()*3-1)
		var want []int
		for k := range s.Solids {
			if k != i && k != 7 && s.boxes[k].within(s.boxes[i], d) {
				want = append(want, k)
			}
		}
		found += len(want)
		if got := s.Near(p.Piece.Panels[i], d); !slices.Equal(got, want) {
			t.Fatalf("within %g of panel %d: %v, want %v", d, i, got, want)
		}
	}
	if found < 1000 {
		t.Errorf("only %d neighbours", found)
	}
}
