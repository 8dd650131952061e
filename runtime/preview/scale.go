package preview

import (
	"math"
	"strconv"
)

// Scales run 1, 2, 5, 10 … either way, the preferred steps of ISO 5455 (value
// from memory), carried on past the ends of its table for very large and very
// small pieces.

// scaleStep is the n-th scale: 0 is 1:1, −1 is 1:2, 1 is 2:1.
func scaleStep(n int) float64 {
	m, inverse := n, false
	if n < 0 {
		m, inverse = -n, true
	}
	v := [3]float64{1, 2, 5}[m%3] * math.Pow(10, float64(m/3))
	if inverse {
		return 1 / v
	}
	return v
}

// scaleText writes a scale as drawings do: "1:2", "5:1".
func scaleText(s float64) string {
	if s >= 1 {
		return strconv.FormatFloat(math.Round(s), 'f', -1, 64) + ":1"
	}
	return "1:" + strconv.FormatFloat(math.Round(1/s), 'f', -1, 64)
}

// Bounds of the search: a hundred metres on A4 is near 1:500, a hundredth of a
// millimetre near 10,000:1.
const (
	leastStep = -10
	mostStep  = 13
)
