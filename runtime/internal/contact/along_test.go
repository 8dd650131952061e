package contact

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: of a row of joins that agree but for one, moved along its edge, that one
// is off by as much as it was moved, whichever way the outlines run and wherever
// the other outline's count begins.
func TestAgreeFindsTheOneMoved(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for range 2000 {
		n, around := 3+rng.Intn(5), 80+100*rng.Float64()
		turn := []float64{1, -1}[rng.Intn(2)]
		row := make([]placed, n)
		start, s := around*rng.Float64(), 0.0
		for i := range row {
			s += 1 + around/float64(n+1)*rng.Float64()
			row[i] = placed{s: s, t: start - turn*s}
			for row[i].t < 0 {
				row[i].t += around
			}
		}
		moved, by := rng.Intn(n), 0.1+4*rng.Float64()
		row[moved].s += by
		got := agree(row, around, turn)
		for i, off := range got.off {
			want := 0.0
			if i == moved {
				want = by
			}
			if diff := off - want; diff > geom.SnapTolerance || diff < -geom.SnapTolerance {
				t.Fatalf("%d joins round %g mm, the %d. moved by %g: the %d. is off by %g", n, around, moved, by, i, off)
			}
		}
		// With as much play it is not off at all.
		row[moved].play = by
		if got := agree(row, around, turn); got.total != 0 {
			t.Fatalf("with play %g the row is off by %g", by, got.total)
		}
	}
}
