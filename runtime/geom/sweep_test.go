package geom

import (
	"math/rand"
	"testing"
)

// boxPairs visits each meeting pair once, and no other, whichever way the boxes
// are long; it stops when told to.
func TestBoxPairs(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for n := range 50 {
		boxes := make([]Box, 60)
		for i := range boxes {
			p := randomPoint(r, 50)
			boxes[i] = BoxOf(p, p.Add(Pt(r.Float64()*float64(1+n%3*10), r.Float64()*float64(1+n%2*30))))
		}
		seen := map[[2]int]int{}
		boxPairs(boxes, func(i, j int) bool { seen[[2]int{i, j}]++; return true })
		for i := range boxes {
			for j := i + 1; j < len(boxes); j++ {
				want := 0
				if boxes[i].Intersects(boxes[j]) {
					want = 1
				}
				if got := seen[[2]int{i, j}]; got != want {
					t.Fatalf("case %d: pair %d, %d visited %d times, want %d", n, i, j, got, want)
				}
			}
		}
		visits := 0
		boxPairs(boxes, func(int, int) bool { visits++; return false })
		if len(seen) > 0 && visits != 1 {
			t.Errorf("case %d: %d visits after being told to stop", n, visits)
		}
	}
}
