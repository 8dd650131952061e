// Package nest lays shapes on sheets and strips: as many copies as fit, or a given
// set on as short a strip as it can. It is pure geometry and knows no script, board or
// file. Lengths are millimetres outside, steps of 0.0001 mm on an integer grid inside.
//
// # Shapes
//
// NewShape flattens true curves outward: arcs that bulge out by tangents, arcs that
// bulge in by chords, cubics by the corners of their control polygons that lie
// outside the chord, so the polygon holds the curve and stands off it by flattenTolerance,
// or by coarsest where a shape would have too many corners. Polygons are cut into
// convex parts exactly (ears, then Hertel and Mehlhorn 1983), and every part is grown by
// half the gap, by its Minkowski sum with a circumscribed polygon of a disc. Nothing else
// depends on the outline; holes are simply not covered and so can be laid into.
//
// # No-fit polygons
//
// With B moved by t, the insides of A and B meet if and only if t lies inside
// A ⊕ (−B), the union over convex parts of the Minkowski sums A_i ⊕ (−B_j). pair keeps
// the sums, whose insides are asked exactly in integers, and the rim of their
// union: what is left of each sum's sides when what lies strictly inside another
// is taken away (Cyrus and Beck 1978). The union needs no topology so, and places where
// a shape fits with no play stay on the rim as stretches of their own. The depth of an
// overlap is the distance to the rim, the shortest move that ends it; a raster finds
// the sums and sides in question.
//
// # Lattices
//
// For copies of one shape (Copies): the motif is the shape, or the shape and its half turn at
// each of a number of places where they touch; the row is a vector u on the rim of the
// motif's no-fit polygon; the next row is the lowest v at which it touches two copies of
// this one and every k·u + l·v is clear. One motif is that of the densest double lattice of
// the hull, from the smallest parallelogram with a side half as long as the longest
// chord along it (Kuperberg and Kuperberg, Discrete Comput. Geom. 5, 1990; Mount, J. of
// Algorithms 12, 1991; values from memory), so the result is never less dense than that
// (TestDenserThanMount). A lattice is moved over the finite sheet to where most copies lie
// on it, exactly; then the best are filled up: if there is room for one more copy, there is
// a place for it at an end of a free stretch of some rim.
//
// # Separation
//
// For several shapes (Strip, Sets), and for one more copy: guided local search on overlaps
// (Egeblad, Nielsen, Odgaard, EJOR 183, 2007; Umetani et al., Int. Trans. Oper. Res. 16,
// 2009; Gardeyn, Vanden Berghe, Wauters, arXiv:2509.13329, 2025; ideas, not code).
// Copies overlap at first; each that does is moved to the best of some places, drawn at
// random and refined, where best is the least sum of weight · depth; weights of pairs
// begin with the mean of both sizes, so that small copies give way to large ones, and grow
// while they stay overlapped. Refining ends by solving for contact: the loss is linear near
// the sides of no-fit polygons, so its least value lies where two of them meet or on one.
// A strip is shortened as long as that succeeds; where it does not, one of the states with
// least overlap found on it is disturbed and separated again: copies about some place change places, or two
// large ones do, or what lies left of some place goes to the right end. Then it is shortened by smaller steps, from
// those states and the best. Two separators do this side by side, as many looks at a time each, until one
// succeeds. Where there are many copies of a shape that fills its hull
// badly, clusters of nested copies are laid first, and taken apart for the rest of the work: rows, pairs and
// blocks of lattices that fill hull or box well. Which of them go together is found by trying: of many choices at
// random those of the smallest hulls, and of these the ones with the shortest strips worked on further (successive halving). The no-fit
// polygon of two clusters is the union of those of their copies, so its rim is cut from theirs.
//
// # What is guaranteed
//
// No two polygons of a layout share any inside and all lie on the sheet: exact, in
// integers. So no two areas overlap by more than rounding to the grid, 0.0001 mm;
// Check proves it anew on the true curves with another algorithm. Same input, same
// seed, same counted work: the same result on every machine; products are rounded
// before they are summed. That a layout is the best there is, nobody promises.
package nest
