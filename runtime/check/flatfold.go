package check

import (
	"math"
	"slices"
)

// flatFold is a vertex whose creases are all folded by 180 degrees: the angles
// between them in degrees, counter-clockwise, and by crease whether it folds
// in (it precedes the angle of the same number).
type flatFold struct {
	angles []float64
	in     []bool
}

// angleSlack is how far, in degrees, angles may miss the flat-folding rules:
// over a 250 mm panel it is the 0.05 mm that a loop may stay open.
const angleSlack = 0.01

// alternate adds up every other angle. Folded flat, the board goes to and fro
// about the vertex, so both sums must be 180 (Kawasaki and Justin).
func (f *flatFold) alternate() (even, odd float64) {
	for i, a := range f.angles {
		if i%2 == 0 {
			even += a
		} else {
			odd += a
		}
	}
	return even, odd
}

// sides counts the creases that fold in and out. They must differ by two, as
// the flat ring turns once (Maekawa and Justin).
func (f *flatFold) sides() (in, out int) {
	for _, x := range f.in {
		if x {
			in++
		} else {
			out++
		}
	}
	return in, out
}

// stuck looks for the angle that keeps the board from lying flat without
// passing through itself. Among the smallest angles there must be one whose
// two creases fold opposite ways; folded in, it leaves a simpler vertex (Bern
// and Hayes, "The complexity of flat origami", 1996; value from memory). It
// returns the number of an angle that stays in the way, or −1.
func (f *flatFold) stuck() int {
	angles, in := slices.Clone(f.angles), slices.Clone(f.in)
	number := make([]int, len(angles)) // of each angle left, the one it began as
	for i := range number {
		number[i] = i
	}
	for len(angles) > 2 {
		smallest, crimp := slices.Min(angles), -1
		first := -1
		for i, a := range angles {
			if a > smallest+angleSlack {
				continue
			}
			if first < 0 {
				first = i
			}
			if in[i] != in[(i+1)%len(in)] {
				crimp = i
				break
			}
		}
		if crimp < 0 {
			return number[first]
		}
		angles, in, number = foldedIn(angles, in, number, crimp)
	}
	return -1
}

// foldedIn folds angle i in between its neighbours: the three become one.
func foldedIn(angles []float64, in []bool, number []int, i int) ([]float64, []bool, []int) {
	n := len(angles)
	before, after := (i+n-1)%n, (i+1)%n
	merged := math.Max(0, angles[before]-angles[i]+angles[after])
	var a []float64
	var s []bool
	var m []int
	for k := range n {
		switch k {
		case before:
			a, s, m = append(a, merged), append(s, in[k]), append(m, number[k])
		case i, after:
		default:
			a, s, m = append(a, angles[k]), append(s, in[k]), append(m, number[k])
		}
	}
	return a, s, m
}
