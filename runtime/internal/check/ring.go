package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/internal/contact"
)

// ring is the board round a vertex whose creases are all folded by 180 degrees:
// the angles in degrees, counter-clockwise, and by crease whether it folds in;
// crease i precedes angle i. There is an even number, and every other angle
// adds up to 180.
type ring struct {
	angles []float64
	in     []bool
}

// stuck looks for an angle that keeps the ring from lying flat without passing
// through itself. Among the smallest angles there must be one whose two creases
// fold opposite ways; folded in between its neighbours, it leaves a simpler
// ring (Bern and Hayes, "The complexity of flat origami", 1996; value from
// memory). It returns the number of an angle that stays in the way, or −1.
func (r *ring) stuck() int {
	left := ring{slices.Clone(r.angles), slices.Clone(r.in)}
	number := make([]int, len(r.angles)) // of each angle left, the one it began as
	for i := range number {
		number[i] = i
	}
	for len(left.angles) > 2 {
		crimp, smallest := left.crimp()
		if crimp < 0 {
			return number[smallest]
		}
		number = left.foldIn(crimp, number)
	}
	return -1
}

// crimp is a smallest angle between opposite folds, −1 when there is none, and
// the first smallest angle.
func (r *ring) crimp() (crimp, smallest int) {
	least := slices.Min(r.angles)
	crimp, smallest = -1, -1
	for i, a := range r.angles {
		if a > least+contact.SumLimit {
			continue
		}
		if smallest < 0 {
			smallest = i
		}
		if crimp < 0 && r.in[i] != r.in[(i+1)%len(r.in)] {
			crimp = i
		}
	}
	return crimp, smallest
}

// foldIn folds angle i in between its neighbours, so that the three become one,
// and gives the numbers of the angles left.
func (r *ring) foldIn(i int, number []int) []int {
	n := len(r.angles)
	before, after := (i+n-1)%n, (i+1)%n
	r.angles[before] = math.Max(0, r.angles[before]-r.angles[i]+r.angles[after])
	var angles []float64
	var in []bool
	var left []int
	for k := range n {
		if k != i && k != after {
			angles, in, left = append(angles, r.angles[k]), append(in, r.in[k]), append(left, number[k])
		}
	}
	r.angles, r.in = angles, in
	return left
}
