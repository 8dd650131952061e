package scene

import "github.com/creasewright/creasewright/runtime/geom"

// Tolerances of pictures, in millimetres of the piece unless said otherwise.
const (
	// depthTolerance is how far one surface must stand before another, measured
	// square to it, to hide it. Panels that are nearer over all they share count as
	// coplanar, and the order of layers decides. An angle given to a hundredth of a
	// degree moves the edge of a panel of 60 mm by 60·sin(0.01°) = 0.0105 mm, solved
	// folds move it less, and rounding by far less (see compareDepth); a picture
	// shows a tenth of a millimetre at best.
	depthTolerance = 0.01

	// minArea, in mm², is the area below which a visible part is left out: a square
	// of a tenth of a millimetre, half the width of a line on paper.
	minArea = 0.01

	// minLength, in mm, is the length below which a visible stretch of a line is
	// left out: drawn, it would be a dot as wide as the line. Such stretches remain
	// where rims hide all but a little of one another.
	minLength = 0.1

	// minWidth is the least mean width of a visible part. Thinner ones are left
	// where the edges of neighbours coincide but for snapping, which moves the ends
	// of both by up to geom.SnapTolerance at each of two subtractions.
	minWidth = 5 * geom.SnapTolerance

	// edgeOn is the cosine between a panel's normal and the view below which
	// the panel is seen from its edge: 100 mm of it then show as 0.1 mm.
	edgeOn = 1e-3

	// flatness is how far the chords of a drawn curve may leave it, as a share of
	// the blank's diagonal. A page shows the diagonal some 100 to 200 mm long, so
	// the chords leave the curve by less than 0.02 mm of paper.
	flatness = 1e-4

	// solidFlatness is flatness for cylinders that stand in the piece, which are drawn
	// as prisms: less than 0.04 mm of paper. Each side of a prism is a face, so they
	// are bounded by mostFacets; leastFacets is few enough for a pencil.
	solidFlatness = 2e-4
	leastFacets   = 24
	mostFacets    = 128

	// slitShare of the blank's diagonal is the width of slits in a closed pack through
	// which no product is shown: less than a millimetre of paper.
	slitShare = 0.005

	// spacingShare is the distance between two layers as a share of the blank's
	// diagonal, so that small pieces are not pulled apart, and maxSpacing its limit.
	// Common practice, no source.
	spacingShare = 0.01
	maxSpacing   = 3.0

	// maxSpread is how many spacings the deepest layer of a picture is moved: the
	// layers of thicker stacks lie closer, so that what is pressed flat looks so.
	// Common practice, no source.
	maxSpread = 8

	// maxTilt is the tangent of the angle by which the layers of a stack are turned
	// about the hinge that holds them, at most: 5.7 degrees, with which a square
	// wall still looks square. Common practice, no source.
	maxTilt = 0.1

	// parallelCosine is the cosine of the angle between two planes under which they
	// count as parallel: two degrees. It decides whether layers stack, so it is
	// above what angles and solved folds are off by and below maxTilt.
	parallelCosine = 0.9994

	// recedingSine is the least sine of the angle at which board counts as leaving a
	// plane to the back: 1.1 degrees, more than angles and solved folds are off by.
	recedingSine = 0.02
)
