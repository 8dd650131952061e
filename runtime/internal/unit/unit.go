// Package unit reads lengths with their units: for the script, the command
// line and pages alike. Everything inside the project is millimetres.
package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Unit is a unit of length as a ratio of whole numbers to the millimetre, so
// that 3 inches are 76.2 mm to the last bit, which 3 × 25.4 in floating point
// is not.
type Unit struct {
	suffix    string
	num, over float64
}

// The units. The inch is exactly 25.4 mm by international agreement (1959); a
// thou, the unit of board caliper, is its thousandth.
var (
	Millimetre = Unit{"mm", 1, 1}
	Centimetre = Unit{"cm", 10, 1}
	Inch       = Unit{"in", 127, 5}
	Thou       = Unit{"thou", 127, 5000}
)

// units lists those a length may be written in.
var units = []Unit{Millimetre, Centimetre, Inch, Thou}

// MM is a length of v units in millimetres.
func (u Unit) MM(v float64) float64 { return v * u.num / u.over }

// Parse reads a length such as "3in", "40 thou", "12.5mm" or a plain number of
// millimetres. Text that is no number, an unknown unit, infinity and NaN are
// errors that quote the text.
func Parse(text string) (mm float64, err error) {
	s, in := strings.TrimSpace(text), Millimetre
	for _, u := range units {
		if rest, ok := strings.CutSuffix(s, u.suffix); ok {
			s, in = strings.TrimSpace(rest), u
			break
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	mm = in.MM(v)
	// ParseFloat also takes hexadecimal, infinities and digit separators.
	if err != nil || strings.ContainsAny(s, "xXpP_iInN") || math.IsInf(mm, 0) {
		return 0, fmt.Errorf("%q is not a length: a number, with mm, cm, in or thou unless it is millimetres", text)
	}
	return mm, nil
}
