package geom

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
)
