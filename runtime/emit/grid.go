package emit

import (
	"math"
	"strconv"
)

// grid is a coordinate of a cut file in ten-thousandths of a millimetre: four
// decimals, and whole numbers in between, so mirroring and flipping lose
// nothing.
type grid int64

const (
	perMM     = 10000
	fineSteps = 1000 // of 1e-7 mm each, to one step of the grid
)

// toGrid rounds to 1e-7 mm first, then half away from zero to the grid: a
// coordinate meant to lie half-way goes the same way whatever noise its last
// bits carry.
func toGrid(mm float64) grid {
	fine := int64(math.Round(mm * perMM * fineSteps))
	if fine < 0 {
		return grid(-((-fine + fineSteps/2) / fineSteps))
	}
	return grid((fine + fineSteps/2) / fineSteps)
}

// append writes the coordinate in millimetres with four decimals.
func (g grid) append(dst []byte) []byte {
	if g < 0 {
		dst, g = append(dst, '-'), -g
	}
	dst = strconv.AppendInt(dst, int64(g/perMM), 10)
	frac := int64(g % perMM)
	return append(dst, '.', digit(frac/1000), digit(frac/100), digit(frac/10), digit(frac))
}

func digit(v int64) byte { return byte('0' + v%10) }
