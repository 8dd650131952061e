// Package blank lays a piece flat: it works out what board the windows leave,
// merges the line work of all panels so that every line is there once, and
// joins it into strokes. It knows nothing of folding in space or of files.
//
// Lay, Blank and what a Blank holds are for Go users, and stable; a Blank and
// its slices are shared by all that read it and must not be written to, as
// copying them for each reader would cost more than making them.
//
// # Method
//
// All outlines, windows, work lines and those hinges that do not run all along
// an edge are curves of one planar arrangement (region.Arrange): they are split
// where they meet, and coincident stretches become one piece that knows every
// curve along it.
//
// Each piece gets labels for its two sides: the panels that have board there.
// On the side of its own edge a panel's label follows from the direction of the
// edge, which is exact. For any other panel the winding number of its boundary, as
// the arrangement has it, about the piece's midpoint decides. Windows then
// take away the labels of all panels that do not hang in them. A piece with
// board on one side is a boundary and is cut; with board on both sides it is a
// slit, a hinge line, a cut between two panels that no hinge joins, a line worked
// on the board, or no line.
//
// Boundaries are traced as closed rings with board on the left. All other
// pieces of one kind form a graph, of which every component with 2k nodes of
// odd degree is covered by max(k, 1) Eulerian trails, the fewest there can be;
// at a node the straightest pairs are joined first. Neighbouring pieces of one
// source curve become one curve again, so an arc stays one arc.
//
// # Tolerances
//
// Which lines coincide is decided within geom.SnapTolerance, as
// region.Arrange says. How the decisions about topology are made after that:
//
//	side of its own edge an outline is on  outlineIndex.edges   exact
//	other outlines along an edge           outlineIndex.across  winding number at its midpoint
//	kind of line                           layout.classify      exact, given the labels
//	outer contour or hole                  signedArea           sign of the computed area
//	which boundary goes on at a node       region, Rings        see there
//	a gap in a boundary is closed          bridge               maxBridge
//	an arc goes on as one curve            layout.follows       maxSnapGap
//	two panels overlap                     overlap.significant  mean width above the tolerance
//
// The midpoint is further than the tolerance from the boundary of the outline that is
// asked, except where lines run less than a few tolerances apart: there answers may
// disagree, gaps of up to maxBridge are closed by straight pieces, and what does not
// close then is reported and not guessed. Areas are sums of boundary integrals and
// are good to rounding.
//
// law_test.go holds all this to random hinge trees whose area, hinge length and
// cut length are known beforehand, and crosscheck_test.go to another way of
// computing them.
package blank
