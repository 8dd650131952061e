// Package scene draws a folded piece as seen from one side: a parallel
// projection with hidden-surface removal in object space, so that the result is
// exact shapes, not pixels. How they look on paper is decided elsewhere.
//
// # Projection and depth
//
// A View has three unit vectors, right × up = toward. A place w of the world
// shows at (w·right, w·up); its depth is w·toward and grows toward the eye.
// Panels are flat, so the depth of a face over the picture is affine: from
// n·(x right + y up + d toward − t) = 0, with the panel's normal n and any place
// t of it,
//
//	d(x, y) = (n·t − x n·right − y n·up) / (n·toward)
//
// and the depth by which one face stands before another is the difference of
// two such functions, affine again. Faces with |n·toward| < edgeOn are left out.
//
// # Hidden surfaces
//
// What a face g hides of a face f is the part of g's projection on one side of
// the line where the two depths are equal: a half-plane of the picture
// (Sutherland and Hodgman, Reentrant polygon clipping, 1974). The visible part
// of f is its projection less those parts of all others, one after the other.
// No painter's order is needed, so faces may pierce one another or overlap in a
// ring. The broad phase is a tree of the faces' boxes; a face that lies within
// one convex cover is dropped at once; what is left is subtracted by subtract,
// or by region.Difference where there are many sides. Curves have been flattened
// before, to flatness times the blank's diagonal.
//
// Lines are cut where they cross the outline of a face or pass its plane, and
// the middle of each stretch decides for all of it. A line does not hide behind
// the panels that it belongs to.
//
// # Coplanar layers
//
// Faces whose depths differ by no more than flush, square to the surface, over
// the box that both share are coplanar: of two such panels the one made later
// lies on the inside. Layers of a stack are drawn apart: each is moved in by Hair
// for every layer outside it, turned about the hinge that holds the stack where
// there is one, so that it stays closed.
//
// # Predicates, tolerances and errors
//
// All decisions are by tolerance, none is exact; the tolerances stand in
// tolerance.go with the reason beside each. A corner of a visible face lies
// within two geom.SnapTolerance of where exact arithmetic would put it, since
// subtraction may move it by one each for the face and the cover; visible areas
// are off by less than that times their outline, and by pieces below speck or
// sliver, which are left out. Products are rounded before they are summed, so
// that every platform decides alike; ties go by the order of the panels.
//
// # Not guaranteed
//
// Two faces that pass within flush of one another without being coplanar are
// ordered by whichever is before at each place, down to flush. Boards have no
// thickness here. Faces hidden but for less than speck are not drawn, so tiny
// gaps may show paper.
//
// # Tests
//
// Visible faces tile the projection (hide_test.go), quick decisions change
// nothing against taking off every other face, subtract agrees with
// region.Difference ring by ring (subtract_test.go), a depth buffer made in
// another way shows the same panels (view_test.go, raster_test.go), lines are
// drawn just where no board stands before them (lines_test.go), moving piece and
// view together changes nothing, and drawing stops with its context
// (cancel_test.go).
package scene
