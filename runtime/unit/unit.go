// Package unit reads lengths with their units: for the script, the command
// line and pages alike. Everything inside the project is millimetres.
package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Millimetres in each unit. The inch is exact by international agreement
// (1959); a thou, the unit of board caliper, is its thousandth.
const (
	Centimetre = 10.0
	Inch       = 25.4
	Thou       = 0.0254
)

// scales lists the suffixes a length may carry.
var scales = []struct {
	suffix string
	mm     float64
}{{"mm", 1}, {"cm", Centimetre}, {"in", Inch}, {"thou", Thou}}

// Parse reads a length such as "3in", "40 thou", "12.5mm" or a plain number of
// millimetres. Text that is no number, an unknown unit, infinity and NaN are
// errors that quote the text.
func Parse(text string) (mm float64, err error) {
	s, scale := strings.TrimSpace(text), 1.0
	for _, u := range scales {
		if rest, ok := strings.CutSuffix(s, u.suffix); ok {
			s, scale = strings.TrimSpace(rest), u.mm
			break
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	mm = v * scale
	// ParseFloat also takes hexadecimal, infinities and digit separators.
	if err != nil || strings.ContainsAny(s, "xXpP_iInN") || math.IsInf(mm, 0) {
		return 0, fmt.Errorf("%q is not a length: a number, with mm, cm, in or thou unless it is millimetres", text)
	}
	return mm, nil
}
