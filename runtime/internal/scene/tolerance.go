package scene

import "github.com/creasewright/creasewright/runtime/geom"

// Tolerances of pictures, in millimetres of the piece unless said otherwise.
const (
	// depthTolerance is how far one surface must stand before another to hide it. Panels
	// nearer than that over all they share count as lying on each other, and
	// their order decides instead. It is far below what a picture shows and
	// above what solved folds and angles given to a hundredth of a degree leave
	// on a panel of 60 mm.
	depthTolerance = 0.01

	// minArea, in mm², is the area below which a visible part is left out: a dot
	// of a tenth of a millimetre, half the width of a line on paper.
	minArea = 0.01

	// minLength, in mm, is the length below which a visible stretch of a line is left
	// out: drawn, it would be a dot as wide as the line, where rims all but hide
	// each other.
	minLength = 0.1

	// minWidth is the least width of a visible part. What is thinner comes of
	// neighbours' edges being welded apart, each by up to geom.SnapTolerance.
	minWidth = 5 * geom.SnapTolerance

	// edgeOn is the cosine between a panel's normal and the view below which
	// the panel is seen from its edge: 100 mm of it then show as 0.1 mm.
	edgeOn = 1e-3

	// flatness is how far the chords of a drawn curve may leave it, as a part
	// of the blank's diagonal, which a page shows a hand wide.
	flatness = 1e-4

	// spacingShare is the hair between layers as a part of the blank's diagonal, so
	// that small pieces are not pulled apart, and hairMost its limit: about
	// 3 mm apart is common practice, no source.
	spacingShare = 0.01
	maxSpacing   = 3.0

	// maxSpread is how many hairs the deepest layer of a picture is moved: the
	// layers of thicker stacks lie closer, so that what is pressed flat looks so.
	// Common practice, no source.
	maxSpread = 8

	// maxTilt is how far layers may lean, as a part of their reach: six
	// degrees, with which a square wall still looks square.
	maxTilt = 0.1
)
