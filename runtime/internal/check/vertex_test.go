package check

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// assignments counts the ways to fold the creases between some angles flat: of
// all 2^n choices of in and out, those that differ by two and are not stuck.
func assignments(angles []geom.Degrees) int {
	n, count := len(angles), 0
	for mask := range 1 << n {
		r := ring{angles: angles}
		in := 0
		for i := range n {
			r.in = append(r.in, mask>>i&1 == 1)
			if r.in[i] {
				in++
			}
		}
		if d := 2*in - n; (d == 2 || d == -2) && r.stuck() < 0 {
			count++
		}
	}
	return count
}

// Sectors (90, 90, 90, 90) have 8 valid assignments, (60, 90, 120, 90) have 4
// (computed from first principles; the theorems: Demaine and O'Rourke,
// "Geometric Folding Algorithms", 2007, chapter 12, value from memory).
func TestFlatVerticesOfFour(t *testing.T) {
	for want, angles := range map[int][]geom.Degrees{8: {90, 90, 90, 90}, 4: {60, 90, 120, 90}} {
		if got := assignments(angles); got != want {
			t.Errorf("%v: %d assignments, want %d", angles, got, want)
		}
	}
}

// Big-little-big (Justin): where one angle is smaller than both its
// neighbours, its creases fold opposite ways in every valid assignment.
func TestSmallAngleLiesBetweenOppositeFolds(t *testing.T) {
	r := ring{[]geom.Degrees{100, 40, 80, 140}, []bool{false, true, true, true}}
	if got := r.stuck(); got != 1 {
		t.Errorf("stuck at %d, want the angle of 40 degrees", got)
	}
	r.in = []bool{true, true, false, true}
	if got := r.stuck(); got >= 0 {
		t.Errorf("stuck at %d, and it folds", got)
	}
}

// A second way: lay the strip of angles to and fro along a line and try every
// order of its layers. It folds when some order agrees with the creases and no
// layer passes through a crease or another layer.
func foldsByLayers(angles []geom.Degrees, in []bool) bool {
	n := len(angles)
	at := make([]float64, n+1) // where crease i lies along the line
	for i, a := range angles {
		at[i+1] = at[i] + float64(a)*float64(1-2*(i%2))
	}
	order := make([]int, n) // height of each layer
	var try func(k int, used int) bool
	try = func(k, used int) bool {
		if k == n {
			return layersFit(at, order, in)
		}
		for h := range n {
			if used>>h&1 == 0 {
				order[k] = h
				if try(k+1, used|1<<h) {
					return true
				}
			}
		}
		return false
	}
	return try(0, 0)
}

// layersFit checks one order of layers.
func layersFit(at []float64, height []int, in []bool) bool {
	n := len(height)
	for i := range n { // crease i joins layers i-1 and i
		a, b := height[(i+n-1)%n], height[i]
		// Even layers show their outside upward: folded in, the next layer lies
		// below an even one and above an odd one.
		above := b > a
		if prevEven := (i+n-1)%n%2 == 0; above != (in[i] != prevEven) {
			return false
		}
		lo, hi := min(a, b), max(a, b)
		for k := range n {
			if h := height[k]; h <= lo || h >= hi {
				continue
			}
			if from, to := min(at[k], at[k+1]), max(at[k], at[k+1]); from < at[i]-1e-9 && at[i]+1e-9 < to {
				return false // a layer passes through the crease
			}
		}
		for k := range n { // two creases at one place may nest, not cross
			if k == i || math.Abs(at[k]-at[i]) > 1e-9 || openTo(at, k) != openTo(at, i) {
				continue
			}
			c, d := height[(k+n-1)%n], height[k]
			if inside(lo, c, hi) != inside(lo, d, hi) {
				return false
			}
		}
	}
	return true
}

func inside(lo, x, hi int) bool { return lo < x && x < hi }

// openTo is the side to which both layers of a crease run.
func openTo(at []float64, i int) bool {
	return at[i+1] > at[i]
}

// Law: the rule of the smallest angles agrees with trying all layer orders, on
// random vertices of four and six creases.
func TestStuckAgreesWithLayers(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for range 60 {
		n := 4 + 2*rng.Intn(2)
		angles := randomFlatRing(rng, n)
		for mask := range 1 << n {
			var in []bool
			count := 0
			for i := range n {
				in = append(in, mask>>i&1 == 1)
				if in[i] {
					count++
				}
			}
			r := ring{angles, in}
			got := 2*count-n == 2 || 2*count-n == -2
			got = got && r.stuck() < 0
			if want := foldsByLayers(angles, in); got != want {
				t.Fatalf("%v %v: folds %v, by layers %v", angles, in, got, want)
			}
		}
	}
}

// randomFlatRing gives n angles of whole tens of degrees, each odd and each
// even lot adding up to 180.
func randomFlatRing(rng *rand.Rand, n int) []geom.Degrees {
	angles := make([]geom.Degrees, n)
	for side := range 2 {
		cuts := rng.Perm(17)[:n/2-1]
		slices.Sort(cuts)
		last := 0
		for k, c := range append(cuts, 17) {
			angles[2*k+side] = geom.Degrees(10 * (c + 1 - last))
			last = c + 1
		}
	}
	return angles
}
