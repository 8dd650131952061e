package preview

import (
	"math"
	"strconv"
)

// Scales run 1, 2, 5, 10 … either way, the preferred steps of ISO 5455 (value
// from memory), carried on past the ends of its table for very large and very
// small pieces. Between 2 and 5 stand 2.5 and 4: without them many cartons would
// leave half of an A4 sheet empty, and their factors are still easy in the head.

var scaleFactors = [...]float64{1, 2, 2.5, 4, 5}

// scaleStep is the n-th scale: 0 is 1:1, −1 is 1:2, −2 is 1:2.5, 1 is 2:1.
func scaleStep(n int) float64 {
	m, inverse := n, false
	if n < 0 {
		m, inverse = -n, true
	}
	k := len(scaleFactors)
	v := scaleFactors[m%k] * math.Pow(10, float64(m/k))
	if inverse {
		return 1 / v
	}
	return v
}

// scaleText writes a scale as drawings do: "1:2.5", "5:1".
func scaleText(s float64) string {
	if s >= 1 {
		return scaleNumber(s) + ":1"
	}
	return "1:" + scaleNumber(1/s)
}

// scaleNumber rounds away the last bits of a factor.
func scaleNumber(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
}

// Bounds of the search: a hundred metres on A4 is near 1:500, a hundredth of a
// millimetre near 10,000:1.
const (
	leastStep = -17
	mostStep  = 22
)
