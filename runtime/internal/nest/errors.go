package nest

import "errors"

// ErrNoFit is that a shape does not fit on the sheet by itself.
var ErrNoFit = errors.New("a shape does not fit on the sheet")

// MostCopies is how many copies a sheet may have room for, by area; work and memory are
// bounded by it.
const MostCopies = 5000

// ErrTooMany is that a sheet would have room for more than MostCopies.
var ErrTooMany = errors.New("the sheet is too large for so small a shape")

// mostSeparated is how many copies are separated at most: weights are kept for all pairs.
const mostSeparated = 400

// tooMany reports whether so many copies of an area each, on average, in mm² may lie on a sheet.
func tooMany(width, height, area float64) bool { return width*height > MostCopies*area }
