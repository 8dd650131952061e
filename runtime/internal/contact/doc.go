// Package contact measures how the panels of a folded piece meet: which cross
// and how deep, which lie on one another and in what order, how far joins stand
// open, how thick a flat stack is, what lies in a way, and whether a product has
// room. It judges nothing and words nothing; limits and messages are made
// elsewhere from the plain data given here.
//
// # Model
//
// A panel is a plane region of no thickness, its mid-surface: an outline less
// what windows take of it (Body). A pose gives each panel a rigid transform
// x ↦ R·x + t from its own frame to the world; a panel so placed is a plate. The
// normal R·e₃ points to the outside of the board. The caliper, the thickness of
// the board, enters only as a distance: the surface of a panel lies half a
// caliper to either side of its mid-surface.
//
// Curved rims are replaced by chords that stray at most Flatten, 0.01 mm, from
// them. Glue that finds no board is measured with true arcs, and common ground
// of regions that are not convex is cut with them; all else is of the polygons.
//
// Lengths are millimetres, areas mm², angles of folds degrees and others radians
// in geom.Angle. Three frames occur: a panel's own, in which its outline was drawn;
// the blank's, that of the flat root panel; and the world, that of the root panel in
// the pose. What is compared of two panels is brought into the frame of one of them
// (plate.onto), seen from its outside.
//
// # Files
//
// boards.go reads a blank into bodies and makes Posed of a pose, in this order:
// plates (plate.go), the broad phase (boxtree.go), penetrations (collide.go,
// wayout.go, section.go) and layers (layer.go) of the pairs found, then stacks, cells
// (cells.go) and their order (order.go, demands.go, folding.go, levels.go). All else is
// measured from a Posed when it is asked for: overlaps and slots of thick board,
// gaps of joins (gap.go, gappanel.go, hold.go, slit.go, along.go) and the sizes that
// would close them (resize.go), glue (cover.go, holes.go), products (fit.go, room.go,
// product.go, products.go), what lies between two panels (between.go), outlines that
// things move past (shell.go), sizes of the whole and vertices. A Posed does not
// change once made, so all of this may be asked for from several goroutines.
//
// # Broad phase
//
// Pairs are found by a binary tree of upright boxes in space (boxTree), halved
// at the median along the longest side: n log² n to build, about k + log n for
// one look that finds k boxes. No pair whose boxes come within the distance
// asked for is missed; a test compares the tree with asking every pair.
//
// # Penetration
//
// Two plates whose planes are not parallel cross where the line of
// intersection of the planes runs in both regions for more than Shallowest. How
// deep is the penetration depth in the sense of robotics: the length of the
// shortest translation of one that parts the two.
//
// For convex A and B the translations d for which A and B + d meet form the
// convex set A ⊕ (−B), the Minkowski sum (Cameron and Culley, "Determining the
// minimum translational distance between two convex polyhedra", 1986; value from
// memory). The depth is the distance of the origin from its boundary. The faces
// of that solid lie square to the normal of A, to the normal of B, or to a×b for
// an edge a of A and an edge b of B; an edge pair gives a face when the common
// perpendicular w leads out over the one edge and in over the other, and its
// distance is then w·(p − q) for any points p, q of the two edges. So parting
// takes the least of two plus |A|·|B| candidates and is exact up to rounding.
// Edge pairs under a sine of 1e-7 are left out: the faces beside them are within
// that share of a panel's size.
//
// For regions that are not convex the depth of the hulls is an upper bound, and
// three more families of moves that part the two are tried (wayOut): along the
// line of intersection, within either plane, and square to the other plane.
// Each is checked to part them, so that what is given is never less than the
// true depth. It may be more; for convex panels it is not.
//
// Panels joined by a hinge meet along it and are never said to cross. A panel
// tucked through an opening of another crosses it there by design: stretches of
// the line that lie in the opening, or within Rim of it, are left out.
//
// # Layers
//
// Two plates are a layer when the sine of the angle between their normals is
// under geom.DegreeSine (1°), their regions have common ground wider than geom.SnapTolerance
// seen along a normal, and over the rim of that ground the planes are within a
// caliper of each other.
//
// n panels folded flat on one another make n(n−1)/2 layers. They are not stored:
// panels whose boards coincide in space within 1e-6 mm, face up or face down,
// form a group, common ground is kept for pairs of groups, and what two panels
// are to one another is derived when it is asked for (Layers). For g groups and
// l pairs of groups with common ground, finding takes g log² g + l steps and
// memory for n + l. Strips and pleats have few groups however long they are; a
// stack of panels of n different shapes has n, and l = n²/2.
//
// # Cells
//
// Panels connected by layers, and those that continue them over hinges that are
// flat in the pose, are a Stack. Its plane is cut into upright strips at every
// corner and crossing of the rims, and each strip into trapezoids between the
// chords over it (the trapezoidal decomposition of an arrangement; de Berg and
// others, "Computational geometry", chapter 6; value from memory). Trapezoids over
// which the same panels lie are a Cell. A cell of a mean width under 2·Flatten is
// what chords stray from a curve that two panels share, and is left out. With n
// chords and k strips this takes about k·n log n steps.
//
// # The order of a cell
//
// Panels that are one board in the pose, joined over flat hinges, are a facet and
// have one place. A tongue, a panel tucked in part that carries on in the plane of
// the one it hangs on, is a facet of its own: it bends past a rim of its target to
// the other side. Facets are placed in the order in which they fold. For facet m
// and each facet q before it that shares a cell, the unknown is a sign: m inside q
// or outside. Demands are
//
//   - facts: planes more than half a caliper apart, unless the pose names an order
//     of folding for both and they are within a caliper, and facets folded on one
//     another, which lie on each other's inside when the fold is positive;
//   - joins: a glued or tucked panel lies on the named side of its target, and
//     nothing lies between the two;
//   - creases: a board that runs on over a folded crease lies outside or inside of
//     both its panels, and of two creases along one line on the same side the
//     panels of one lie between those of the other, or none does (Justin,
//     "Towards a mathematical theory of origami", 1997; Hull, "On the mathematics
//     of flat origamis", 1994; values from memory); of a crease that leads out of
//     the plane, on the far side of what it leads to.
//
// Within a cell the signs of m are monotone along the order that is there. So each
// demand is a sign that is given or two signs that are alike, and all that follows
// from a sign is found by following links, in time linear in them (an implication
// graph with literals of one kind). Then come wishes: planes that are apart at
// all, and the order of folding. Of two facets the one that the last fold between
// them moves comes from the side against its velocity, u × (x − h) for a hinge
// along u through h, and stays there: what folds earlier lies further inside. A
// wish is granted unless what follows from it contradicts. When a facet has no
// place, the last wish that could be given up is, up to a bound: an order that
// keeps earlier wishes is found before one that does not. Whether a flat folding
// exists at all is NP-hard (Bern and Hayes, "The complexity of flat origami",
// 1996; value from memory); where the bound is met, or there is no order, Tangle
// names a demand that cannot be met, and the rest are. The order may run in a ring
// from cell to cell, as that of petals does.
//
// What lies between two panels that face each other, as a leaf and the cover over
// its spine, is read off the cells of both: over each intersection of a part of one
// with a part of the other the panels on the near side of either are counted
// (Between). n of them keep the mid-surfaces (n + 1) calipers apart.
//
// # Thickness
//
// A plate is a caliper thick. Two that stand at an angle are cut across the line
// of intersection: bars whose overlap is the shortest move that parts two
// rectangles, by their four separating axes. Where they share more than a limit
// over more than that length of the line they are an Overlap.
//
// # Gaps of joins
//
// A join of edges misses by the largest distance from an end of the shorter edge
// to the other edge; a tab, tuck or glue by the largest distance from a point of
// its outline to the target's outline thickened to a slab: by a caliper to
// either side for glue, by two calipers behind the wall for a tuck, and grown by
// Rim. Distance to a convex set is a convex function, so for a convex target the
// largest lies at a corner; for any other the chords are searched by halving
// until the bound d(mid) + length/2 leaves no more than 0.01 mm to be found.
//
// A panel held in part misses by how much less of it lies along the target's board
// than is asked for: the reach is the largest distance, of a place of the panel's
// rim over board, from the rim of the board that the panel covers. A tongue misses
// as well by the least length of board that a line across it meets, over the lines
// that leave the reach asked for beyond them.
//
// A Resize is the least change of one size that brings the gap to what was asked
// for, all folds held. The gap is a convex function of the change for a convex
// target: golden section finds its least value, halving the least change that
// reaches it.
//
// # Holes of glued panels
//
// A hole is a component of a panel's outline less its board. Two holes G and H of
// neighbours in a cell, joined by glue, are compared in the frame of the target,
// laid there along its normal. With δ(G, H) = max over the rim of G of the distance
// from H, 0 inside it, one holds the other when min(δ(G, H), δ(H, G)) = 0. The
// maximum is taken over the ends and middles of chords: exact to Flatten where H
// is convex, as distance is a convex function then, and short by less than half a
// chord elsewhere. The way that brings the centroids together is a shift after
// which congruent holes coincide; what is left then is measured, not assumed. Holes
// that one window takes of both panels are not compared.
//
// # Room for a product
//
// A product is a box or an upright cylinder, its clearance the distance to every
// board's surface. In each cell of a stack the boards make room for one another:
// going toward the product each lies a caliper beyond the one before it, but that
// one gives way which hangs on a board further on or is joined to its far side.
// The foremost surface of every cell is what the product must clear, and on the
// panel that it stands on what it rests on. The distance from a convex solid to a plane region is least
// where the plane comes nearest, if board is there, or on the rim, where it is a
// convex function along each chord and halving its slope finds the least. Where
// nothing says where the product stands, it is put half-way between what bounds
// it along either axis; if it does not clear everything there, a pattern search
// looks for the nearby place at which it lacks least, which may be a local one.
// How deep a product reaches into a board is the least of the moves square to
// the panel, over one of its edges and along the product's axes: an upper bound.
//
// Two products share room by the least overlap of their extents over the
// directions square to the faces of either and to pairs of edges, one of each
// (separating axes of convex solids); a cylinder's side is taken by its directions
// in steps.
//
// # Vertices that fold flat
//
// At a vertex inside the sheet with creases folded by ±180° and sectors
// a₁ … a₂ₙ between them the folded state is flat only if
//
//	a₁ − a₂ + a₃ − … − a₂ₙ = 0            (Kawasaki, Justin)
//	|mountains − valleys| = 2             (Maekawa, Justin)
//
// (Justin, "Mathematics of origami", 1986; Kawasaki, "On the relation between
// mountain-creases and valley-creases of a flat origami", 1989; values from
// memory). Both are necessary. The alternating sum is compared with SumLimit,
// which is what corners rounded to 0.01 mm make of it.
//
// # Exact, and by tolerance
//
// Sums, products and square roots of doubles decide; there is no exact
// arithmetic. Panels are at most some metres large, so that rounding moves a
// place by less than 1e-9 mm after a thousand folds, and every decision keeps a
// margin that is at least a hundred times that: geom.SnapTolerance where
// something counts as one place, Resolution where two measures are compared, and
// the named limits beside the code. Of measures within Resolution the first in
// the order of making is taken, so that processors which fuse multiplying and
// adding choose alike.
//
// Not guaranteed: depth for panels that are not convex (an upper bound); contact
// of panels that the pose gives no place; contact on the way between poses,
// unless it is asked for; anything of the width of a chord's error, 0.01 mm.
//
// # Tests
//
// Laws on random regions and motions: swapping and moving a pair changes no
// depth, moving by the depth parts it, and no sampled direction of convex panels
// is shorter; layers by groups agree with pairs, areas with throwing points,
// thickness with sampling, the order of cells with trying all for up to six
// panels (order_test.go), shared board with throwing points, exact fits, Near with
// asking all. Values from outside: crossings
// found by GEOS (outside_test.go), the eleven nets of the cube
// (hexomino_test.go), flaps and tubes in closed form (forms_test.go), a Miura
// sheet (miura_test.go), round holes by their radii and the distance of their
// centres (holes_test.go), and which single vertices fold flat (vertex_test.go).
package contact
