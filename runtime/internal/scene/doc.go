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
// of f is its projection less those parts of all other faces, its occluders, one
// after the other. No painter's order is needed, so faces may pierce one another or
// overlap in a cycle. The broad phase is a tree of the faces' boxes; a face that
// lies within one convex occluder is dropped at once; what is left is subtracted by
// subtract, or by region.Difference where there are many sides. Curves have been
// flattened before, to flatness times the blank's diagonal.
//
// Lines are split where they cross the outline of a face or pass its plane, and
// the middle of each stretch decides for all of it. A line does not hide behind
// the panels that it belongs to.
//
// # Products
//
// A product is a right prism: a box, or a cylinder whose base is a polygon inscribed
// in the circle, to solidFlatness times the blank's diagonal. A convex body and a plate
// whose plane does not pass through the body are parted by that plane, so one of them is
// before the other wherever they share the picture (solidView.sideOf); the body then
// hides the plate by its outline alone. Facets of bodies through which a plane passes are
// compared with the plate one by one, as faces are with faces. Sides are taken before
// layers are drawn apart, so a layer drawn further in does not pierce what it encloses.
// A product whose outline is hidden but for slits is left out first (enclosed): what it
// hides is hidden by the board before it too.
//
// # Coplanar layers
//
// Faces whose depths differ by no more than depthTolerance, square to the surface,
// over the box that both share are coplanar: of two such panels the one made later
// lies on the inside. Layers of a stack are drawn apart: each is displaced inward by
// LayerSpacing for every layer outside it, or turned about the hinge that holds the
// stack where there is one, so that the hinge stays closed.
//
// # Predicates, tolerances and errors
//
// How each decision about topology is made; the reason why it suffices stands with
// the function, and that for the size of a tolerance in tolerance.go.
//
//	which side of the board shows    face.side            exact sign, kept off 0 by edgeOn
//	which of two faces is in front   face.compareDepth    depthTolerance, then order of layers
//	where a face passes another      clipPositive         computed sign, error below 1e-6 of the box
//	inside a face or a ring          polygon.Holds        exact
//	within or apart from an occluder polygon.Within,Apart filtered: yes is certain
//	sides cross or touch             subtraction.meet     filtered by the snap tolerance
//	inside the other operand         subtraction.boundary exact at midpoints
//	order round a node               subtraction.turnAngle computed; ties move less than the tolerance
//	a line before or behind a face   lineOccluder.hides   depthTolerance, rims within the snap tolerance
//	a plate lies on another          Scene.stackedOn      parallelCosine, caliper + depthTolerance
//	side kept by a lift              Scene.mayLift        depthTolerance
//	a product before a plate's plane solidView.sideOf     depthTolerance
//
// A corner of a visible face lies within two geom.SnapTolerance of where exact
// arithmetic would put it, since subtraction may move it by one each for the face
// and the occluder; visible areas are off by less than that times their outline, and
// by parts below minArea or minWidth, which are left out. Products are rounded before
// they are summed, so that every platform decides alike; ties go by the order of the
// panels.
//
// # Choosing the view
//
// Scene.Stand says how a piece stands and Scene.Choose which of some views shows most of
// it, by areas and normals alone.
//
// # Not guaranteed
//
// Two faces that pass within depthTolerance of one another without being coplanar
// are ordered by whichever is before at each place, down to the tolerance. Boards
// have no thickness here. Visible parts below minArea are not drawn, so gaps of that
// size may show paper.
//
// # Tests
//
// Visible faces tile the projection (hide_test.go), quick decisions change
// nothing against taking off every other face, subtract agrees with
// region.Difference ring by ring (subtract_test.go), a depth buffer made in
// another way shows the same panels (view_test.go, raster_test.go), lines are
// drawn just where no board stands before them (lines_test.go), moving piece and
// view together changes nothing, and drawing stops with its context
// (cancel_test.go). Products are where rays cast at boxes and true cylinders meet them
// first (solid_test.go).
package scene
