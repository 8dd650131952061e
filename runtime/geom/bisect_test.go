package geom

import (
	"math"
	"math/rand"
	"testing"
)

// Law: with one change between lo and hi, whichever lies higher, both results
// are next to it, one on either side.
func TestBisect(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 500 {
		lo, hi := r.NormFloat64(), r.NormFloat64()
		at := lo + (hi-lo)*r.Float64()
		holds := func(v float64) bool { return v < at == (lo < hi) }
		yes, no := Bisect(lo, hi, holds)
		if !holds(yes) && yes != lo || holds(no) && no != hi || math.Abs(yes-no) > 4e-16*(math.Abs(lo)+math.Abs(hi)) {
			t.Errorf("between %v and %v, %v is found as %v and %v", lo, hi, at, yes, no)
		}
	}
}
