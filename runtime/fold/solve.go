package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Numbers of the continuation. Angles in radians.
const (
	// startTurn is the size of the largest given fold at the first step away
	// from flat: small enough that the folds stand in their limiting ratios,
	// large enough that second-order terms (its square) exceed rounding by far.
	startTurn = 3 * math.Pi / 180
	// firstStride and minStride bound the step along the motion, as a share of
	// the whole.
	firstStride = 1.0 / 16
	minStride   = 1e-4
	// jump is the largest change of a fold in one step of the motion; more means
	// the solver has left its branch.
	jump = math.Pi / 5
	// wrongWay is how far a fold may stray to the other side of flat.
	wrongWay = 1e-6
	// reachedTo is when a join counts as held by the solver, in mm.
	reachedTo = 1e-7
)

// solve finds the unknown folds of the pose and reports what could not be.
func (s *state) solve() []Fault {
	if s.allFlat {
		return nil
	}
	loops, rigid := s.loopConstraints()
	leaves, joins := s.sortJoins(loops)
	var faults []Fault
	for _, g := range s.groups(loops, joins) {
		if f, bad := s.solveGroup(g); bad {
			faults = append(faults, f)
		}
	}
	s.grown = 1
	for _, c := range leaves {
		s.layDown(c)
	}
	faults = append(faults, s.settleRest()...)
	if s.pose.Name == model.PoseClosed {
		s.remember()
	}
	return append(faults, s.openLoops(rigid)...)
}

// loopConstraints makes a demand of every cycle that has an unknown fold, and
// lists the cycles that have none.
func (s *state) loopConstraints() (loops []*constraint, rigid []constraint) {
	for i, c := range s.cycles {
		con := s.loop(c)
		vs := s.unknowns(c)
		if len(vs) == 0 {
			rigid = append(rigid, con)
			continue
		}
		for _, v := range vs {
			s.vars[v].loops = append(s.vars[v].loops, i)
		}
		loops = append(loops, &con)
	}
	return loops, rigid
}

// sortJoins makes demands of the joins that hold in this pose and that unknown
// folds can reach. A leaf is a panel laid on another by one unknown of its own:
// a tab. Leaves are turned last, when all else stands.
func (s *state) sortJoins(loops []*constraint) (leaves, joins []*constraint) {
	var all []*constraint
	for _, j := range s.piece.Joins {
		if !s.holds(j) {
			continue
		}
		con, ok := s.joinConstraint(j)
		if !ok {
			continue
		}
		vs := s.unknowns(con.chain)
		if len(vs) == 0 {
			continue
		}
		for _, v := range vs {
			s.vars[v].joins = append(s.vars[v].joins, len(all))
		}
		all = append(all, &con)
	}
	for _, c := range all {
		if s.leafVar(c) >= 0 {
			leaves = append(leaves, c)
		} else {
			joins = append(joins, c)
		}
	}
	return leaves, joins
}

// holds reports whether a join must hold in this pose.
func (s *state) holds(j *model.Join) bool {
	switch j.Kind {
	case model.MeetJoin, model.TuckJoin:
		return s.pose.Name == model.PoseClosed
	}
	return s.pose.Glued
}

// leafVar is the unknown that alone turns a panel onto its target: the fold of
// the hinge the panel hangs by, in no loop and no other join. Else −1.
func (s *state) leafVar(c *constraint) int {
	if c.join == nil || c.join.Kind == model.MeetJoin {
		return -1
	}
	h := c.join.A.Panel.Hang
	if h == nil {
		return -1
	}
	for i := range s.joints {
		if s.joints[i].hinge != h {
			continue
		}
		v := s.varOf[i]
		if v < 0 || len(s.vars[v].loops) > 0 || len(s.vars[v].joins) > 1 || len(s.vars[v].joints) > 1 {
			return -1
		}
		return v
	}
	return -1
}

// solveGroup finds one group's folds.
func (s *state) solveGroup(g *group) (Fault, bool) {
	loose := 0
	if len(g.loops) > 0 {
		var ok bool
		if loose, ok = s.follow(g); !ok && len(g.joins) == 0 {
			return s.unsolved(g), true
		}
	}
	s.grown = 1
	if len(g.joins) > 0 {
		s.reachJoins(g)
		loose = min(loose, s.freedom(g, g.all(), looseCap))
		if len(g.loops) == 0 {
			loose = 0
		}
	}
	s.snap(g)
	if gap := s.worst(g.loops); gap > OpenLimit || s.strays(g) {
		return s.unsolved(g), true
	}
	if loose > 0 {
		return Fault{Kind: LoopLoose, Hinge: g.firstHinge(s), Missing: loose, Free: g.hinges(s), Round: s.round(g.loops)}, true
	}
	for _, v := range g.vars {
		s.vars[v].found = true
	}
	return Fault{}, false
}

// looseCap bounds the count of missing folds; beyond it the number says no more.
const looseCap = 12

func (s *state) unsolved(g *group) Fault {
	s.grown = 1
	return Fault{Kind: LoopUnsolved, Hinge: g.firstHinge(s), Gap: s.worst(g.all()), Free: g.hinges(s), Round: s.round(g.loops)}
}

// round lists the panels that the loops lead over.
func (s *state) round(loops []*constraint) []*model.Panel {
	on := make([]bool, len(s.panels))
	for _, c := range loops {
		for _, k := range c.chain.links {
			on[s.joints[k.joint].a], on[s.joints[k.joint].b] = true, true
		}
	}
	var out []*model.Panel
	for i, p := range s.panels {
		if on[i] {
			out = append(out, p)
		}
	}
	return out
}

// firstHinge is the hinge that a group's fault is told at.
func (g *group) firstHinge(s *state) *model.Hinge {
	if len(g.loops) > 0 {
		return g.loops[0].hinge
	}
	return g.hinges(s)[0]
}

// hinges lists the free hinges of the group in the piece's order.
func (g *group) hinges(s *state) []*model.Hinge {
	var out []*model.Hinge
	for i := range s.joints {
		if v := s.varOf[i]; v >= 0 {
			if _, ok := g.pos[v]; ok {
				out = append(out, s.joints[i].hinge)
			}
		}
	}
	return out
}

// follow leads the group's loops from flat to the given folds. It returns how
// many motions the loops leave free half-way, where no fold is at a singular
// end, and whether the end was reached closed and on the asked sides.
func (s *state) follow(g *group) (loose int, ok bool) {
	drive := s.drive(g)
	if drive == 0 {
		s.grown = 1
		s.start(g, startTurn)
		return s.freedom(g, g.loops, looseCap), false
	}
	s.grown = math.Min(1, startTurn/drive)
	if !s.start(g, drive*s.grown) {
		return 0, false
	}
	loose = looseCap
	before, beforeAt := make([]float64, len(g.vars)), 0.0 // flat
	here := s.values(g)
	measured := false
	for stride := firstStride; s.grown < 1; {
		from := s.grown
		s.grown = math.Min(1, from+stride)
		k := (s.grown - from) / (from - beforeAt)
		for i, v := range g.vars {
			s.vars[v].value = here[i] + k*(here[i]-before[i])
		}
		s.descend(g, g.loops, false, s.target())
		if s.jumped(g, here) || s.strays(g) {
			s.grown = from
			s.restore(g, here)
			if stride /= 2; stride < minStride {
				return 0, false
			}
			continue
		}
		before, beforeAt = here, from
		here = s.values(g)
		stride = math.Min(stride*1.5, firstStride)
		if !measured && s.grown >= 0.5 {
			measured = true
			loose = s.freedom(g, g.loops, looseCap)
		}
	}
	if !measured {
		loose = s.freedom(g, g.loops, looseCap)
	}
	return loose, s.worst(g.loops) <= OpenLimit
}

// target is the cost a step of the motion must come down to.
func (s *state) target() float64 {
	if s.grown < 1 {
		return underway
	}
	return home
}

// drive is the largest given fold in the group's loops at the end of the motion.
func (s *state) drive(g *group) float64 {
	top := 0.0
	for _, c := range g.loops {
		for _, k := range c.chain.links {
			if s.varOf[k.joint] < 0 {
				top = math.Max(top, math.Abs(s.given[k.joint]))
			}
		}
	}
	return top
}

// starts are the sizes tried for the unknown folds near flat, as multiples of
// the largest given one.
var starts = []float64{1, 0.4, 0.15, 2.5}

// start finds the unknown folds next to flat, on the asked sides: near flat the
// solutions form a cone, so their sizes are sought in logarithms, which keeps
// every fold on its side. The first start that closes wins; spread starts,
// where each unknown has a size of its own, follow the even ones.
func (s *state) start(g *group, drive float64) bool {
	best, bestGap := []float64(nil), math.Inf(1)
	const spread = 12
	for try := range len(starts) + spread {
		for i, v := range g.vars {
			s.vars[v].value = s.vars[v].side() * drive * startSize(try, i)
		}
		gap := s.descend(g, g.loops, true, home)
		if !math.IsNaN(gap) && gap < bestGap {
			best, bestGap = s.values(g), gap
		}
		if bestGap < closedTo {
			break
		}
	}
	if best == nil {
		return false
	}
	s.restore(g, best)
	s.descend(g, g.loops, false, home)
	return !s.strays(g)
}

// startSize is the size of unknown i in a try.
func startSize(try, i int) float64 {
	if try < len(starts) {
		return starts[try]
	}
	// A fixed scatter over e^±2: the golden ratio spaces the tries evenly.
	x := math.Mod(float64(try*31+i)*math.Phi, 1)
	return math.Exp(4*x - 2)
}

// jumped reports whether a fold changed by more than one step should.
func (s *state) jumped(g *group, here []float64) bool {
	for i, v := range g.vars {
		if d := math.Abs(s.vars[v].value - here[i]); !(d <= jump) {
			return true
		}
	}
	return false
}

// strays reports whether a fold lies on the side it was not asked for.
func (s *state) strays(g *group) bool {
	for _, v := range g.vars {
		x := &s.vars[v]
		if !(x.value*x.side() >= -wrongWay && math.Abs(x.value) <= math.Pi+wrongWay) {
			return true
		}
	}
	return false
}

// reachJoins turns the group's folds so that its joins hold, loops kept closed.
// Starts are where the loops left the folds, then even folds of growing size on
// the asked sides; the smallest folds that reach win. Joins that no fold reaches
// come as near as they can, and the loops are closed again last.
func (s *state) reachJoins(g *group) {
	all := g.all()
	here := s.values(g)
	best, bestGap := here, math.Inf(1)
	for try := -1; try < len(joinStarts); try++ {
		for i, v := range g.vars {
			s.vars[v].value = s.joinStart(v, try, here[i])
		}
		gap := s.descend(g, all, false, home)
		if !s.strays(g) && gap < bestGap*(1-1e-3) {
			best, bestGap = s.values(g), gap
		}
		if bestGap < reachedTo {
			break
		}
	}
	s.restore(g, best)
	if bestGap >= reachedTo && len(g.loops) > 0 {
		s.descend(g, g.loops, false, home)
	}
}

// joinStarts are the first guesses for folds that joins alone decide, in radians.
var joinStarts = []float64{math.Pi / 6, math.Pi / 3, math.Pi / 2, 2 * math.Pi / 3, 5 * math.Pi / 6, math.Pi / 12}

func (s *state) joinStart(v, try int, here float64) float64 {
	x := &s.vars[v]
	switch {
	case x.free.Near != nil && try <= 0:
		return geom.Degrees(*x.free.Near)
	case try < 0:
		if here == 0 {
			return x.side() * startTurn
		}
		return here
	}
	return x.side() * joinStarts[try]
}

// snap sets folds that are quarter turns but for rounding exactly so, if that
// closes the loops no worse: at 180° a loop is singular and the last digits
// would otherwise be lost.
func (s *state) snap(g *group) {
	all := g.all()
	was, gap := s.values(g), s.worst(all)
	const close = 2e-4
	changed := false
	for _, v := range g.vars {
		x := &s.vars[v]
		q := math.Round(x.value/(math.Pi/2)) * (math.Pi / 2)
		if x.value != q && math.Abs(x.value-q) < close {
			x.value, changed = q, true
		}
	}
	if changed && s.worst(all) > math.Max(gap, closedTo/10) {
		s.restore(g, was)
	}
}

// layDown turns a leaf so that it lies parallel to its target, on the asked
// side: the closed form is the angle between the two normals about the axis.
func (s *state) layDown(c *constraint) {
	v := s.leafVar(c)
	x := &s.vars[v]
	x.value = 0
	screws, m := s.screws(c.chain)
	var axis geom.Point3
	for _, w := range screws {
		if w.variable == v {
			axis = w.axis
		}
	}
	for _, k := range c.chain.links {
		if !s.known(k.joint) && s.varOf[k.joint] != v {
			return // something before it was not found
		}
	}
	normal, up := m.Normal(), geom.Point3{Z: 1}
	turn := math.Atan2(axis.Dot(normal.Cross(up)), normal.Dot(up)-axis.Dot(normal)*axis.Dot(up))
	x.value = s.onSide(c, x, turn)
	x.found = true
}

// onSide chooses between two turns half a turn apart: the one on the asked side
// and, where both are (0 and 180), the one that brings the leaf to its target.
func (s *state) onSide(c *constraint, x *variable, turn float64) float64 {
	best, bestFar := 0.0, math.Inf(1)
	for _, k := range []float64{0, math.Pi, -math.Pi} {
		a := turn + k
		if n := math.Round(a / (math.Pi / 2)); math.Abs(a-n*math.Pi/2) < 1e-12 {
			a = n * math.Pi / 2
		}
		if a*x.side() < -wrongWay || math.Abs(a) > math.Pi+wrongWay {
			continue
		}
		x.value = a
		if far := s.farFrom(c); far < bestFar-geom.Weld {
			best, bestFar = a, far
		}
	}
	return best
}

// farFrom is how far the leaf's middle lies from its target's, in mm.
func (s *state) farFrom(c *constraint) float64 {
	leaf, target := c.join.A.Panel, c.join.B.Panel
	m := s.carry(c.chain)
	return m.Apply(leaf.Outline.Bounds().Mid().Space()).Dist(target.Outline.Bounds().Mid().Space())
}

// settleRest deals with the unknowns that nothing in this pose decides. What
// some join decides in the closed pose keeps its closed fold, scaled like the
// given ones; a free fold that nothing ever decides is loose; one whose target
// is out of reach is not found, and the note on what is left out explains it.
func (s *state) settleRest() []Fault {
	var out []Fault
	for v := range s.vars {
		x := &s.vars[v]
		if x.found || len(x.loops) > 0 || len(x.joins) > 0 {
			continue
		}
		if closed, ok := s.closed[x.free]; ok {
			x.value, x.found = closed*s.pose.At, true
			continue
		}
		if s.undecided(x) {
			h := s.joints[x.joints[0]].hinge
			out = append(out, Fault{Kind: LoopLoose, Hinge: h, Missing: 1, Free: []*model.Hinge{h}})
		}
	}
	return out
}

// undecided reports whether no join speaks of what the unknown turns, though
// folding reaches it.
func (s *state) undecided(x *variable) bool {
	for _, i := range x.joints {
		if !s.usable(i) {
			return false
		}
		for _, j := range s.piece.Joins {
			if child := s.joints[i].hinge.Child; j.A.Panel == child || j.B.Panel == child {
				return false
			}
		}
	}
	return true
}

// remember keeps the closed pose's free folds for poses that do not decide them.
func (s *state) remember() {
	for v := range s.vars {
		if x := &s.vars[v]; x.found {
			s.closed[x.free] = x.value
		}
	}
}

// openLoops reports the loops that given folds alone leave open.
func (s *state) openLoops(rigid []constraint) []Fault {
	var out []Fault
	for i := range rigid {
		if gap := s.gap(&rigid[i]); gap > OpenLimit {
			round := s.round([]*constraint{&rigid[i]})
			out = append(out, Fault{Kind: LoopOpen, Hinge: rigid[i].hinge, Gap: gap, Round: round})
		}
	}
	return out
}
