// Package solid gives a piece in space to programs that show and render it: as glTF 2.0,
// folding, and as STL, closed. Board is as thick as it is; lengths are millimetres until
// they are written, angles geom.Angle.
//
// # Board as closed surfaces
//
// A panel's board is a plate: its area less windows, taken half a caliper to either side of the
// panel's plane (plate). Its curves become chords within flatness of them; the area between
// chords is cut into triangles with corners in the chords' ends alone (triangulate), in
// three steps:
//
//  1. where loops touch, they are traced anew so that each bounds one connected part
//     (facets.separate);
//  2. holes are joined to the loop round them by bridges, segments that are passed once in
//     each direction (facets.bridge; Eberly, Triangulation by Ear Clipping, 2002);
//  3. ears are clipped until nothing is left (clipper; Meisters, Polygons have ears, 1975).
//
// All three are values from memory. Steps 2 and 3 are decided by geom.Orient alone, which is exact, so for loops that do not cross
// every triangle turns left. Of n corners come n − 2 triangles whatever is
// clipped, each taken off the loop with its sign, so
//
//	Σ area(triangles) = area(loops)       to rounding
//	every side of a triangle is that of one other, or of a loop
//
// and the surface is closed by its making, not by comparing places. Chords can cross where board
// is narrower than twice flatness; there a triangle may lie turned over, and the surface is
// closed all the same. Time is about O(n log n) where corners are spread over the panel: clipping looks for
// corners in a triangle, and bridges for corners and sides, in a grid of squares.
//
// # Hinges as nodes
//
// With x in the child's frame, the frame of its parent sees it at
//
//	R(u, α)·(lay(x) − a) + a
//
// for a hinge through a along the unit vector u, folded by α, as in package fold. So a hinge's node
// has translation a and rotation R(u, α), under the node of the parent panel; the child's node
// under it has the constant motion lay, shifted by −a. Only rotations of hinges are animated. Hinges that
// close loops are no nodes: they hold because the folds do.
//
// All keys of a hinge turn about one axis, so glTF's spherical interpolation between them is
// linear in α. Keys are solved states (simulate.State.Along) at sixteenths of the way,
// halved where a corner in the middle between two keys would be further than strayLimit
// from the state solved there (assembly.way), down to 1/256 of the way.
//
// # Errors
//
// float32 keeps 6·10⁻⁸ of a number. A component of a rotation is off by that at most, so the end of a
// chain of k hinges, r metres long each, by less than k²·r·10⁻⁷: 0.001 mm for ten of 0.1 m. STL has
// places in mm to 3·10⁻⁵ at half a metre. Curves are off by flatness. Layers that lie on one
// another are moved by a multiple of apart, which glTF viewers need to tell them from one another.
//
// # Not guaranteed
//
// Plates overlap along folded creases, on the inside, by up to half a caliper and gape
// outside as much, since a crease turns about the middle of the board and no board is bent.
// Boards that lie on one another share their place but for apart. Between keys, and where the solved states jump,
// nothing is promised but that keys are 1/256 of the way apart.
//
// # Tests
//
// Triangles tile random shapes whose holes touch, and boards of random and example designs
// (TestTriangulate, TestPlates); files read back have corners where simulate has the
// panels, flat at the first key and in the pose at the last, and stray by no more than
// strayLimit between keys (TestGLBFollowsTheFold); other programs find no fault with them
// (engine's TestOutsideReadersReadSolids).
package solid
