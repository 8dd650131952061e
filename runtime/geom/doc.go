// Package geom holds the plane and space geometry everything else stands on:
// points, lines, circular arcs, cubic Bézier curves, paths with named edges,
// and rigid motions. Lengths are millimetres as float64; angles are
// Angles, and degrees exist only where people read or write them.
//
// Curves keep their identity: placing, mirroring, splitting and reversing an
// arc gives an arc, and nothing in this package ever flattens a curve unless
// asked to.
//
// The package is stable: names and what they mean stay, and may be added to.
//
// # Curves
//
// A Curve runs from P to Q as its parameter t goes from 0 to 1. A line is
// P + t(Q − P). An arc is the point at P's direction from its centre turned by t
// times its sweep. A cubic is the Bézier curve with control points P, C, D, Q,
// evaluated as the sum of its Bernstein polynomials and split by de Casteljau's
// scheme.
//
// Lengths of cubics are integrals of |B′| by 16-point Gauss–Legendre rules on
// halves of the curve until two levels agree (TestGauss16, TestLength;
// TestParabolaLength has the closed form). Areas are ½∮(x dy − y dx), Green's
// theorem, in closed form for each kind (TestCurveArea).
//
// # Where curves meet
//
// Intersect reports every place where two curves come within SnapTolerance of
// each other, as a point or as a stretch along which they run together. Lines
// and arcs meet in closed form. A cubic meets a line or an arc where its
// distance from that, a polynomial of degree 3 or 6 in Bernstein form, is zero:
// the form crosses zero at most as often as its coefficients change sign
// (variation diminishing; Farin, Curves and Surfaces for CAGD, value from memory),
// so that halving passes over no root (TestRoots). Roots that have not come apart
// at a width of 1e-9 count as one, in the middle between them
// (TestMultipleRoots); curves that touch without crossing are found where the
// distance has an extremum. Two cubics are halved where the boxes of their control
// points meet, until both are straight to a tenth of the tolerance; what is found
// is sharpened by Newton's method. TestMeetAgainstBruteForce compares the crossings
// of random pairs with those of flattened curves, TestMeetLookalikes the stretches
// of curves that nearly coincide.
//
// Crossings at a clear angle are good to about 1e-10 mm; at an angle whose sine
// is below 0.01 the place along the curves is less certain, as the tolerance
// over that sine. Of two cubics that run together for long without sharing an
// end the search looks at so many pairs of pieces and no more, and may then
// miss some of what is there.
//
// # Corners
//
// A rounding of radius r is tangent to both neighbours where their offsets at
// distance r meet. The radius grows from 0 by Newton's method, so that the
// solution is the one that belongs to the corner; TestRoundLaws holds tangency,
// TestLargestFits the largest radius that an error names.
//
// # Predicates that decide
//
// Orient, on which side of a line a point lies, is exact: a floating-point
// filter with a proven bound, then exact sums (Shewchuk 1997; TestOrient,
// TestOrientBound). Winding sums the angles that the curves turn as seen from
// the point, in float64, and rounds to whole turns; WindingIndex counts chords
// that a ray crosses, on exact sides, and adds rounded turns for what arcs and
// cubics do beyond their chords. Both are right away from the curves, where the
// sum is off by far less than half a turn, and arbitrary on them
// (TestWindingAgainstPolygon, TestWinderAgreesWithWinding).
//
// RayCrossing, and with it the even-odd rule on polygons, is exact.
//
// By tolerance go: whether curves meet and whether ends are one, SnapTolerance
// (Intersect, Check); whether curves stay that near between two places, by seven
// samples either way (coincideBetween); whether a corner is smooth, SmoothSine;
// whether three points make an arc, flatArc; whether a cubic can cross itself,
// Tiny (SelfCrossing); whether a direction is carried by a whole quarter turn, unitSlack.
// That two lines cross well inside both, or miss each other, is filtered: what is
// within twice the tolerance is looked at by the general method (meetLines).
//
// # Motions
//
// An Isometry is a matrix of rotation or reflection with a translation; a
// RigidTransform is the same in space, rotations by Rodrigues' formula. Products
// round, each by some 1e-16 of itself, so that a thousand in a row keep lengths to
// 1e-12 (TestCarryDoesNotDrift); Orthonormalize takes out what a long chain of
// turns in space has collected. Inverse is the transpose, as good as the motion
// is orthonormal.
//
// # The same bits everywhere
//
// Every product is rounded, float64(x*y), before it is summed, since a compiler
// may else fuse the two into one operation with one rounding. Trigonometry is
// the package's own, from operations that IEEE 754 rounds one way only
// (TestTrigBits), and agrees with the standard library's to three units in the last
// place (TestTrigAgreesWithTheLibrary). Polar, Rotation and the like are exact at
// quarter turns (TestSinCosQuarters, TestQuarterTurns).
package geom
