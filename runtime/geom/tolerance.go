package geom

import (
	"fmt"
	"math"
	"strconv"
)

// Tolerances, all in millimetres unless said otherwise. Every comparison in
// the project uses one of these or derives its own from them, by name.
const (
	// SnapTolerance is how close two lines run to count as one, and two ends to
	// count as the same vertex. It is the contract's 0.001 mm, a fiftieth of the
	// width of a fine cut and far below what any cutter resolves, and Tiny more:
	// lines drawn exactly 0.001 mm apart, from sizes with three decimals, are
	// then one whatever rounding does.
	SnapTolerance = 1e-3 + 1e-9

	// Tiny is the size below which a length is rounding noise: blanks span up
	// to 1e5 mm and float64 keeps 1e-11 of that, so chains of a hundred
	// motions stay well under it.
	Tiny = 1e-9

	// MinSize and MaxSize bound every size a script may give.
	MinSize = 1e-3
	MaxSize = 1e5

	// SmoothSine is the sine of the turn, 0.01°, below which two curves that
	// meet run on smoothly into one another. Sine and radians of so small a
	// turn agree to 5e-9 of themselves, so either is compared with it.
	SmoothSine = 1.7e-4

	// DegreeSine is the sine of 1°, by which folded board that was meant to be
	// parallel is allowed to be off: folds are made by hand. It is rounded up, so
	// that an angle of exactly a degree is within it.
	DegreeSine = 0.0174525
)

// CheckSize refuses what is no size in millimetres: NaN, infinity, and
// anything outside MinSize…MaxSize. The error names the size and its value.
func CheckSize(name string, v float64) error {
	if err := checkNumber(name, v); err != nil {
		return err
	}
	if v < MinSize || v > MaxSize {
		return fmt.Errorf("%s is %s mm, and sizes lie between %s and %s mm", name, exactly(v), exactly(MinSize), exactly(MaxSize))
	}
	return nil
}

// CheckPlace refuses what is no place: a coordinate that is NaN, infinite or
// further out than MaxSize.
func CheckPlace(name string, p Point) error {
	for _, v := range [...]float64{p.X, p.Y} {
		if err := checkNumber("a coordinate of "+name, v); err != nil {
			return err
		}
		if math.Abs(v) > MaxSize {
			return fmt.Errorf("%s lies at (%s, %s) mm, and coordinates reach to %s mm", name, exactly(p.X), exactly(p.Y), exactly(MaxSize))
		}
	}
	return nil
}

func checkNumber(name string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is %s, not an ordinary number", name, strconv.FormatFloat(v, 'f', -1, 64))
	}
	return nil
}

// exactly writes a number like Num, but keeps the digits of one too small or
// too large to be a size, so that the message shows what was wrong.
func exactly(v float64) string {
	if s := Num(v); s != "0" && math.Abs(v) < 1e12 || v == 0 {
		return s
	}
	return strconv.FormatFloat(v, 'g', 4, 64)
}

// at writes a place for messages.
func at(p Point) string { return "(" + Num(p.X) + ", " + Num(p.Y) + ")" }
