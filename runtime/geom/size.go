package geom

import (
	"fmt"
	"math"
	"strconv"
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
