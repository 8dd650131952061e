package model

import "github.com/creasewright/creasewright/runtime/source"

// Side is the asked sign of a free fold.
type Side int8

// Sides of a free fold: toward the inside (positive) or the outside.
const (
	In  Side = 1
	Out Side = -1
)

// Free is one unknown fold angle; hinges that share the pointer share the
// angle.
type Free struct {
	Side        Side
	NearDegrees *float64 // where to look at a singular spot
	Site        source.Site
}

// Fold is a fold angle in degrees, −180 to 180, or a free one.
type Fold struct {
	Degrees float64
	Free    *Free // nil for a given angle
}
