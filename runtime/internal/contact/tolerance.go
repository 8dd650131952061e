package contact

import "github.com/creasewright/creasewright/runtime/geom"

// Tolerances of contact, in millimetres unless said otherwise. They never grow
// with the board.
const (
	// Flatten is how far a chain of chords may stray from a curve. Board is cut
	// to a tenth of a millimetre at best, and contacts that matter are deeper.
	Flatten = 0.01

	// Shallowest is the depth up to which panels do not touch: what is within a
	// weld is one place.
	Shallowest = geom.SnapTolerance

	// Rim is how far a panel may stand out beyond its target before it counts
	// as missing it (the contract's).
	Rim = 1.0

	// FlatLimit is how far panels may lie off a common plane in a flat pose.
	// Rounding a fold to a hundredth of a degree lifts the rim of a 250 mm panel
	// this much.
	FlatLimit = 0.05

	// parallel is the sine of the angle under which two panels within a caliper
	// of each other lie on one another: three folds, each rounded to a hundredth
	// of a degree, turn by half of it, and over 100 mm it opens 0.1 mm.
	parallel = 1e-3
)

// tuckCalipers is how deep behind a panel, in calipers, a tuck still lies along
// it (the contract's).
const tuckCalipers = 2
