package contact

import "github.com/creasewright/creasewright/runtime/geom"

// Touch is two panels that cross in a pose. A and B are their places in the
// piece, A < B.
type Touch struct {
	A, B int
	// Depth is the length in mm of the shortest move that parts the two, more
	// than Shallowest: exact for convex panels, else the shortest of several
	// moves that do, never less than the true one.
	Depth float64
	Part  geom.Point3 // unit; B moved by Depth this way just clears A

	From, To geom.Point3 // the longest stretch along which they cross, in the world
	At       geom.Point3 // its middle
	AtBlank  geom.Point  // At on panel A, in the blank frame
}

// Layer is two panels that lie on one another: parallel, within a caliper, with
// common ground. A < B.
type Layer struct {
	A, B int
	Area float64 // of the common ground, mm²
	Gap  float64 // between the two mid-surfaces, mm

	At      geom.Point3 // a place well inside the common ground, on panel A
	AtBlank geom.Point  // the same in the blank frame

	Glued  bool // a tab or glue joins them, and the pose is glued
	Hinged bool // a hinge joins them: they are folded on one another
	Inside bool // B lies on the inside of A; else on its outside

	sure bool // Inside is a fact of the pose, not the rule for stacks
}
