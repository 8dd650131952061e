package fold

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/model"
)

// Degree-4 flat-foldable vertex, both modes, through the whole motion (Huffman,
// IEEE Trans. Comput. C-25 (1976) 1010–1019, value from memory; checked there
// against the closure product): crease i precedes sector i.
func TestDegree4Modes(t *testing.T) {
	a1, a2 := 60.0, 80.0
	sectors := []float64{a1, a2, 180 - a1, 180 - a2}
	rad := math.Pi / 180
	kA := math.Cos((a1+a2)/2*rad) / math.Cos((a1-a2)/2*rad)
	kB := math.Sin((a1-a2)/2*rad) / math.Sin((a1+a2)/2*rad)
	for _, r := range []float64{2, 10, 30, 70, 110, 150, 170, 179, 180} {
		// Mode A: ρ1 = ρ3 = r, ρ4 = −ρ2.
		p4 := 2 * math.Atan(kA*math.Tan(r/2*rad)) / rad
		check(t, "A", sectors, []float64{r, -p4, r, p4}, 0)
		// Mode B: ρ2 = ρ4 = r, ρ3 = −ρ1.
		p1 := 2 * math.Atan(kB*math.Tan(r/2*rad)) / rad
		check(t, "B", sectors, []float64{p1, r, -p1, r}, 1)
	}
}

// The row r = 70 of the same source, to the digits given.
func TestDegree4Row(t *testing.T) {
	check(t, "A", []float64{60, 80, 120, 100}, []float64{70, -27.335721, 70, 27.335721}, 0)
	check(t, "B", []float64{60, 80, 120, 100}, []float64{-14.745432, 70, 14.745432, 70}, 1)
}

// check gives the fold of one crease, asks for the sides of the others, and
// compares what is found.
func check(t *testing.T, name string, sectors, want []float64, givenAt int) {
	t.Helper()
	folds := make([]model.Fold, len(want))
	for i, w := range want {
		if i == givenAt {
			folds[i] = given(w)
		} else if w > 0 {
			folds[i] = free(model.In)
		} else {
			folds[i] = free(model.Out)
		}
	}
	p := sheet(ring(sectors...), ringFolds(folds...))
	pose := foldClosed(t, p)
	if len(pose.Faults) > 0 {
		t.Errorf("%s, r = %v: fault %+v", name, want[givenAt], pose.Faults[0])
		return
	}
	for i, a := range ringAngles(p, pose) {
		if !a.OK || math.Abs(float64(a.Degrees)-want[i]) > 1e-6 {
			t.Errorf("%s, r = %v: crease %d folds %v, want %v", name, want[givenAt], i, a, want[i])
		}
	}
}
