// Package toolpath gives a blank as a machine makes it: its strokes on the bed, in
// the order of work, led by what the tools are like. It writes no file.
//
// Lengths are millimetres, angles geom.Angle. The frame is the bed's, y up. The package is not
// stable yet.
//
// # Order
//
// Closed cuts get their bridges, then lines are put in order (order.go; package tour has the method): line
// kinds in the order of blank.Kinds; cuts by how many closed cuts lie around them, most first
// (TestInnerFirst), so that outer contours come last; in each such class with little travel from where
// the class before ended, and at last all starts once more at once. What follows changes
// neither the order nor, but for ways in, the place where a line begins. A knife begins closed cuts on straights,
// 5 offsets and its overcut from corners (TestStartsOfClosedCuts); with bridges every cut begins
// behind one. The travel told for comparison is that of the same lines, class by class as
// the blank has them, finished in the same manner; if that were less it would be taken (TestOrderKeepsStrokes).
//
// A beam of several passes runs each stroke so often before the next, open ones forth and back. With an even
// number it comes up where it went down, and the order is sought with that. Program.Travel has the ways between runs
// (TestFilesTravelAsTold: an interpreter of the file counts the same).
//
// # Compensation
//
// Without Tool.Compensate the axis runs along the lines of the design, and the controller
// or the user sees to the rest: this is the default. With it the axis runs where it has to be for the
// tool to be on the line.
//
// # A knife
//
// A drag knife's tip T trails the axis P, about which the blade swivels, by the offset d. While the
// axis moves, the blade's heading θ follows the direction φ of the way by
//
//	dθ/ds = sin(φ − θ)/d
//
// (s the length of the way; the tractrix: akmemorph.us/?p=662, there with another sign). On a straight
// way the angle e between the two falls as tan(e/2) = tan(e₀/2)·exp(−s/d) (derived; from 90° it takes 4.74 d to
// come within 1°, 5.43 d within 0.5°; TestBladeClosedForms). The tip moves along its blade only, so to
// run along a line with unit tangent u it must be that
//
//	P = T + d·u
//
// Then P′ = u + d·κ·n, κ the curvature and n the normal to the left. A line is shifted forward by d. An arc of
// radius R gives an arc of radius √(R² + d²) about the same centre, ahead by
// atan(d/R) (cnczone.com/forums/coding/71521; TestKnifePathClosedForms). At a corner the axis goes round an arc of
// radius d about it while the tip stands still: a swing, if the corner turns by more than Tool.Swivel, which machines
// make with the blade half lifted. Less than that is cut with the blade down, on the chord of the same arc
// where d(1 − cos(turn/2)), by which this pushes the tip back along its own cut, is at most knifeError.
// Uncompensated, a circle comes out at √(R² − d²), and corners are cut off by up to d.
//
// A cubic's way is no cubic. It is fitted by cubics with the same ends and derivatives, halved until
// seven samples stray by no more than knifeError, 0.002 mm. An axis that strays by δ(s) to the side moves the tip
// by f with d·f′ = δ − f, to first order in δ/d: a running mean of δ, so that |f| ≤ max |δ|. The tip is thus off by
// no more than the axis, a tenth of the 0.02 mm that are asked for.
//
// A blade's heading is known from the stroke before: it points along the end of that. Each
// stroke begins with the axis at T + d·heading, so that the tip comes down on the line's start, and turns the blade
// from there. Before a knife's first stroke it points anywhere. So a straight stroke of 10 d is made in board that falls
// away, in a hole or beside the piece, no nearer to it than half a millimetre whichever way the blade
// swings; from 179° off it comes within 0.6°. A blade that points straight back stays so in theory; friction
// does not let it.
//
// TestTipFollowsRandomLines integrates the equation along the written ways of 500 random chains of lines, arcs
// and cubics with corners, spikes and cusps: the Hausdorff distance of the tip's path from the chain stays below
// 0.002 mm there, and in swings the blade turns one way only. TestTipFollowsPrograms does it for whole programs of the
// example designs, begun with the blade 0, 90 and 179° off, and TestTipFollowsFiles for what readers
// understand of files: within 0.02 mm in G-code, and in HP-GL too, which chooses its places by where the tip comes.
//
// # A beam
//
// A beam takes away board within half its kerf, r = k/2, of its axis. The way of the axis along the
// boundaries of the board is the boundary of the board's Minkowski sum with a disc of radius r: outer contours grow,
// holes shrink, all at once (region.RoundRings), so that ways of neighbouring boundaries do not cross. Then no board
// is within r of the axis, and what is left is the board exactly, but where no disc of radius r has room in the
// waste: inner corners keep a fillet of r. Corners of board become arcs about the corner. Mitred ways would leave the same
// board; on arcs the beam keeps its speed, and acute corners make no spikes. A convex piece of perimeter P and area A gives a
// way of P + 2πr round A + P·r + πr² (Steiner; TestKerfClosedForms). Arcs stay arcs; offsets of cubics are good to
// 0.00025 mm (package region).
//
// Holes without room for the kerf, inner radii below r, openings narrower than k and notches that are not
// reached by more than k are in Program.Lost (TestLostToTheKerf). Cuts with board on both sides stay on their line: they
// take r from either. So do creases, perforations, part cuts and drawn lines. TestBeamLeavesTheModel and TestBeamLeavesRandomShapes
// hold that the axis keeps r from all board, and comes that near to all of its boundary but where it is told.
//
// # Ways in and out
//
// A boundary is entered on an arc of 45° through waste, as long as Tool.Lead or half of that once or
// more, if it has room there, and tangent to the line: neither tool stands still on it (TestLeadsAndOvercuts). A knife
// runs on over the start by Tool.Overcut. The piece lies so that this has room on the bed, where there is any.
//
// # Nicks
//
// Bridges are left in closed cuts on even spacing, each moved to the nearest place that is on one curve, at
// least 10 mm from corners and from where other lines end (less on cuts too small for that, at least 2), and nowhere so
// curved that it would turn by more than half a radian. Where the cut is its own mirror image they are too
// (TestNicksAreSymmetric). On the board they are as wide as asked for: a beam stops earlier by its kerf, a
// compensated knife's tip ends and begins at the bridge (TestBridgesOnTheBoard).
//
// # What is not guaranteed
//
// The blade is a point that bites and does not bend; curves tighter than d are led correctly and cut badly, and
// package check warns of them. A nick's places are judged along the cut, not across narrow board. Whether a sheet reaches beyond the
// piece's own box is not known; a stroke that turns the blade is laid there only if the box has no room for it.
// Between the samples of a fit and of narrow openings nothing is proven.
package toolpath
