// Package fold puts the panels of a piece into space: for each pose it finds
// every fold angle and places each panel. It knows nothing of contact, pictures
// or files, and it words no findings: what went wrong is returned as plain
// Faults.
//
// # The mechanism
//
// Panels are rigid bodies without thickness, straight hinges are revolute joints.
// Joint i takes the frame of its child panel b into that of its parent a:
//
//	Mi(ρ) = L · R(p, u, ρ)
//
// first the flat placement L of b in a, then the rotation by the fold angle ρ
// about the hinge, a line through p along u in the frame of a. ρ is 0 when flat;
// positive turns b away from the viewer, toward the inside of the piece. A tree of
// hinges spans the panels; the frame of a panel in the world is the product of the
// joints from the root to it (forward kinematics), its rotation made orthonormal
// at each step so that errors do not grow with the depth.
//
// # Loop closure
//
// Each hinge outside the tree closes a loop. The cycles of the basis are chosen
// short ones first, so that round an interior vertex of the blank the loop is made
// of the creases that meet there. Round a loop the product of the joints is the
// identity (s.-m. belcastro, T. C. Hull, Linear Algebra Appl. 348 (2002) 273–282,
// from memory). It is asked of three points of the closing hinge's panel, nine
// residuals in units of the hinge's length, of which six are independent in
// general and three round a vertex. The derivative of a point q by a fold on the
// way to it is u × (q − p), with the axis seen in the loop's first frame.
//
// Unknown folds that share loops or joins make a system. Systems are independent
// and solved one by one. Their unknowns are numbered by the Cuthill–McKee rule, so
// the normal equations JᵀJ have a narrow band, and one factorization costs
// (unknowns) · (band)².
//
// # Which solution
//
// A loop has many solutions. The one meant is reached from flat while all given
// folds grow together in proportion to a parameter from 0 to 1, on the asked side
// of every free fold.
//
//   - Vertices of degree four that fold flat have a closed form (D. A. Huffman,
//     IEEE Trans. Comput. C-25 (1976) 1010–1019, from memory): the tangents of the
//     half angles keep their ratios, and the asked sides choose the mode. Where the
//     given folds reach all unknowns of a system over such vertices, this is the
//     solution; closing every loop verifies it. Vertices that fold flat but for
//     the rounding of their corners give the start that the solver refines.
//   - Else the motion is followed by predictor–corrector continuation. At flat
//     the Jacobian is singular: solutions near it form a cone. The first point is
//     therefore sought with the largest given fold at 3°, in the logarithms of the
//     folds' sizes, in which no fold can leave its side. From there the predictor
//     is the parabola through the last three points, the corrector the
//     Levenberg–Marquardt method; steps are halved when a fold changes or is
//     corrected by more than a bound.
//   - Folds beside given ones under 1e-5 rad are found at 1e-3 rad and scaled down.
//   - Where no closed configuration lies on the way, or the way branches or ends,
//     the end state is searched: from a few even starts, then from nearly flat and
//     scattered ones that keep to their sides. The solution nearest to where the
//     motion ended counts, or that nearest to what near asks.
//   - Where that finds none, every choice of sides of a small system is followed, or
//     its closed form asked, to tell wrong sides, rigid vertices and motions that
//     end apart (Fault). Angles that are told were tried.
//
// Joins (glue, tabs, meets, tucks) are held at the end. Their constraints ask that
// edges share a line and panels a plane; solutions in which an edge lies on that
// line beyond its partner's end are passed over (flat sectors round a point have
// one). Where even starts of growing size find none, edges that meet are drawn end
// to end in the logarithms of size/(π − size), which keep every fold on its side,
// from even, nearly flat and scattered starts. A tab that only its own hinge can
// turn is laid down in closed form last; if it was given no fold, by the turn that
// leaves the least of it beside its target.
//
// On the way to a pose joins do not hold. Loops that share joins are followed from flat
// by themselves, each moment from one and the same first step, and without sides, which
// are asked for at the end: joins may lay a web down, at the end, on the other side of a
// fold than that on which it stands out before. Such a motion jumps at 1.
//
// A system in which the Jacobian has a null space is loose: the nullity is the
// number of folds that still have to be given. It is counted half-way, away from
// singular ends, by the singular values of the Jacobian, of its softest part in
// large systems.
//
// # Accuracy
//
// Loops close to 1e-9 mm unless more folds are given than needed; then up to
// OpenLimit, with the gap spread by least squares. Folds are exact to about 1e-12
// rad times the condition of the system; at a singular end, where creases are
// folded right over, the equations alone leave the square root of rounding, 1e-8
// rad, and what remains is rounded to the quarter turn it is near. Decisions
// compare gaps rounded to 1e-9 mm and angles with a named margin, so that they do
// not hang on the last bits, which differ between processors.
//
// # Not guaranteed
//
//   - Which branch is taken at a singular configuration on the way that is not
//     flat: the step over it follows the extrapolated motion.
//   - That a solution is found because there is one: the search near flat and in
//     the end state tries a fixed set of starts.
//   - That the nullity of a system of many unknowns is right when singular values
//     crowd round the threshold.
//   - That panels do not pass through one another: nothing here knows of contact.
//
// # Tests that show it
//
// closure_test.go holds loop closure and the corners of solids to outside values,
// vertex_law_test.go and miura_test.go the closed forms and the Miura cell,
// quad_test.go compares the closed form with the continuation on random meshes,
// solid_test.go, hexomino_test.go and surface_test.go fold nets, tubes and towers,
// branch_test.go has vertices that are rigid, end or hardly move, law_test.go has the laws of given
// folds, motion_test.go those of motions, cancel_test.go shows that folding stops.
package fold
