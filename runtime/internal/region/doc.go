// Package region computes with areas bounded by lines, arcs and cubic curves:
// unions, differences, overlaps and offsets that keep every arc an arc. It
// splits all curves where they meet, decides piece by piece, from winding
// numbers, which ones bound the answer, and chains those. Nothing is flattened.
//
// Lengths are millimetres, areas mm², angles geom.Angle. A region is a list of
// rings, each a closed chain of curves with the region on its left:
// counter-clockwise outside, clockwise round holes.
//
// # The arrangement
//
// Arrange computes the subdivision of the plane that a set of curves makes, as
// nodes and edges (de Berg, Cheong, van Kreveld, Overmars, Computational
// Geometry, chapter 2, value from memory; there for segments by a sweep, here for curves
// by a broad phase on boxes, geom.BoxPairs, and geom.Intersect for every pair it
// reports). The steps, each linear or n log n in its input:
//
//  1. coincident copies of a curve are set aside (copies.go);
//  2. every pair of curves whose boxes come near is intersected (arrange.go,
//     meetends.go has the cases settled without an intersection);
//  3. cuts and ends that lie within geom.SnapTolerance of each other become one
//     node (snap.go);
//  4. each curve is cut at its nodes, an arc of nearly a full turn also in its
//     middle, its parts are moved onto them (refit.go), and parts that coincide
//     become one edge with several origins (assemble.go).
//
// The result satisfies, for every edge e and every curve c of its origins:
//
//	e.P = Nodes[e.From], e.Q = Nodes[e.To]       to the bit
//	dist(c.At(t), e) ≤ 3 · SnapTolerance          for t in the origin's stretch
//	the stretches of c over all edges cover c once, end to end
//
// but for gaps of at most 5 · SnapTolerance where a stretch collapsed into a node
// (checkArrangement holds these on random input; TestArrangeCoversOnce).
//
// # Booleans
//
// For closed chains, the winding number w(q) counts the turns round q. Crossing an edge from
// its right to its left raises w by the edge's net number of uses, so that
//
//	right(e) = left(e) − net(e)
//
// and one evaluation per row of edges, at a middle, gives both sides
// (sides.go, rows.go). A region is where w ≠ 0; the boundary of a Boolean
// combination is the set of half-edges with the result on their left and not on
// their right (combine.go), which Rings chains (rings.go). TestCombineAreas
// checks |A∪B| + |A∩B| = |A| + |B| and its like, TestCombineHolds single points,
// TestAreasAgreeWithShapely the areas that another library finds.
//
// # Offsets
//
// The offset by d of a curve with unit normal n to its right is B(t) + d·n(t).
// Lines shift and arcs change their radius, exactly. A cubic's offset is no
// cubic: it moves with the speed
//
//	v(t) = |B′(t)| · (1 + d·κ(t)),   κ = B′ × B″ / |B′|³
//
// and is fitted by cubics with the same ends, tangents and mid-point, halved
// until seven samples lie within growError of the fit (growcubic.go; curvature
// and offsets as in Farin, Curves and Surfaces for CAGD, value from memory). Where
// v < 0 the centre of curvature is nearer than d, and the chain runs along the
// evolute B − n/κ instead. The chain of all offsets, with corners between, may
// cross itself; the grown outline is where its winding number is positive
// (rawOffset says why). TestGrowByDistance compares points of the result with their
// distance from the outline, TestGrowSteiner one area and length with Steiner's
// formula, TestFittedOffsets the fits with the true offset.
//
// # Which predicates are exact
//
// Topology is decided at these places:
//
//   - whether two curves meet, and whether an end lies on a curve: by tolerance,
//     geom.SnapTolerance (geom.Intersect, endNear, touch);
//   - whether two points are one node: by tolerance, no further apart than
//     geom.SnapTolerance, nor a node wider than maxNodeSpan (snapper);
//   - whether two curves are copies: by tolerance, sameEnd = 1e-8 mm in each
//     coordinate and in the sweep in radians (same, alike, sameCurve);
//   - whether two curves from one end meet again: by bounding wedges and with a
//     margin, the sine of 5°; wrong answers are only ever "perhaps", which leads
//     to the intersection itself (apart);
//   - whether two parts between the same nodes are one edge: by tolerance, three
//     sample points each way within SnapTolerance + maxNodeSpan (coincide);
//   - the cyclic order round a node: filtered, by directions with an error
//     bound of their own, then exact on tangents and curvatures (compareRays
//     has the proof; TestRaysByCurvature, TestRaysOfNearLines);
//   - on which side of an edge a point lies: the chord's side exact (geom.Orient);
//     what an arc or cubic turns beyond its chord rounded to whole turns
//     (windingAt says why the rounding is safe);
//   - whether a ring encloses anything: by tolerance, wider than SnapTolerance
//     on average (thinner).
//
// # What is not guaranteed
//
// Snapping moves curves by up to maxNodeSpan, so two edges may cross each other by
// less than some SnapTolerances close to a node (TestArrangeLeavesNoCrossing allows 0.1 mm,
// for curves that meet at very small angles). Slivers between them, no wider than
// SnapTolerance, are dropped or kept as whole rings. Snapping is not idempotent
// in general: arranging an arrangement's edges again may move nodes once more.
// Points that form a chain of steps below SnapTolerance are
// grouped greedily, nearest pairs first; another order of the input may give
// other groups where distances tie. Directions of cubics that turn back within a
// thousandth of their parameter have no proven bound. Offsets of cubics are within growError at
// samples, not proven between them. A cubic's self-crossing is found once: a cubic
// has one at most.
package region
