// Package decimal writes float64 numbers as decimal text: rounded first, so
// that the last bits never show, never with an exponent, never −0. It stands
// apart so that findings, reports, cut files and pictures agree on a number.
package decimal

import (
	"math"
	"strconv"
)

// exact is the size up to which a scaled value can be rounded and scaled back
// without touching the neighbouring integer: float64 holds 53 bits, and the
// multiplication and the division may each cost half of the last one.
const exact = 1 << 51

// Round rounds v to places decimals, halves away from zero. Values too large
// to have that many come back as they are; −0 comes back as 0.
func Round(v float64, places int) float64 {
	scale := math.Pow10(places)
	if math.Abs(v)*scale >= exact {
		return v
	}
	return math.Round(v*scale)/scale + 0 // −0 + 0 is 0
}

// AppendFixed appends v with exactly places decimals (at least one) to dst.
func AppendFixed(dst []byte, v float64, places int) []byte {
	return strconv.AppendFloat(dst, Round(v, places), 'f', places, 64)
}

// AppendShort appends v rounded to places decimals, without trailing zeros.
func AppendShort(dst []byte, v float64, places int) []byte {
	units := math.Round(v * math.Pow10(places))
	if math.IsNaN(units) || math.Abs(units) >= exact {
		return strconv.AppendFloat(dst, Round(v, places), 'f', -1, 64)
	}
	if units < 0 {
		dst = append(dst, '-')
	}
	whole := uint64(math.Abs(units))
	one := uint64(math.Pow10(places))
	dst = strconv.AppendUint(dst, whole/one, 10)
	part := whole % one
	if part == 0 {
		return dst
	}
	dst = append(dst, '.')
	for ; part > 0; part %= one {
		one /= 10
		dst = append(dst, '0'+byte(part/one))
	}
	return dst
}
