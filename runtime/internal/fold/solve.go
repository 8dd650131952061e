package fold

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/model"
)

// solution is how a system's folds were found: the way there, by which the
// motion can be followed again, or the fault that kept them from being found.
// At most one of form and path is set: a closed form needs no continuation.
type solution struct {
	form  []proportion // the closed form, or nil
	path  []checkpoint // the continuation from flat, or nil when the end is not on it
	fault *Fault
}

// solve finds the unknown folds of the pose, fills in how each system was
// solved, and reports what could not be found.
func (s *configuration) solve(solutions []solution) []Fault {
	if s.flat {
		return nil
	}
	// Loops and shared joins come first; what hangs on them is laid down on their
	// result, in an order in which each finds the folds before it known.
	var faults []Fault
	for k, g := range s.systems {
		if s.stopped() {
			return nil
		}
		solutions[k] = s.solveSystem(g)
		s.progress = 1
		if f := solutions[k].fault; f != nil {
			faults = append(faults, *f)
			continue
		}
		for _, u := range g.unknowns {
			s.found[u] = true
		}
	}
	for _, c := range s.laid {
		if s.stopped() {
			return nil
		}
		s.layDown(c)
	}
	faults = append(faults, s.settleUndecided()...)
	return append(faults, s.openLoops(true)...)
}

// solveSystem finds one system's folds, or says why there are none.
func (s *configuration) solveSystem(g *system) (out solution) {
	loose, closed := 0, false
	if g.certainlyLoose() {
		out.fault = s.fault(g, Fault{Kind: LoopLoose, Missing: nullityCap})
		return out
	}
	if len(g.loops) > 0 {
		if out.form = s.solveClosedForm(g); out.form != nil {
			return out // the loops leave nothing for joins to decide
		}
		// The closed form failed: either it does not apply, or the asked sides are
		// beyond it, which large systems are told at once.
		if out.fault = s.blocked(g); out.fault != nil {
			return out
		}
		loose, closed, out.path = s.follow(g)
	}
	s.progress = 1
	if len(g.joins) > 0 {
		loose = s.reachJoins(g, loose)
	}
	if loose > 0 {
		out.fault = s.fault(g, Fault{Kind: LoopLoose, Missing: loose})
		return out
	}
	// What the motion from flat has reached either closes or is looked into. Joins
	// that share the system have had their own starts already.
	s.roundQuarters(g)
	switch {
	case s.closes(g):
	case len(g.joins) > 0:
		out.fault = s.fault(g, Fault{Kind: LoopUnsolved, Gap: s.worst(g.loops)})
	default:
		out.fault = s.lookFurther(g, reach{out.path, closed})
	}
	// A path that does not lead to the end is of no use to a motion.
	if n := len(out.path); n > 0 && (out.path[n-1].progress < 1 || s.changed(g, out.path[n-1].values, nearQuarter)) {
		out.path = nil // the end was found elsewhere
	}
	return out
}

// blocked finds a vertex of a large system whose asked sides fit neither of the
// ways in which it folds, so that no search need be made, and tells of it alone.
func (s *configuration) blocked(g *system) *Fault {
	if len(g.unknowns) <= mostDense || s.hasNear(g) || s.drive(g) == 0 {
		return nil
	}
	for _, c := range g.loops {
		// A crease given as 0 has no side, and the rest may fold in a line.
		v, ok := s.flatVertex(c.chain)
		if !ok || slices.ContainsFunc(v.creases[:], func(j int) bool { return s.askedSide(j, 0) == 0 }) {
			continue
		}
		if slices.ContainsFunc(v.modes(0), func(mode [3]float64) bool { return s.onSides(&v, 0, mode, 0) }) {
			continue
		}
		return &Fault{Kind: LoopUnsolved, Hinge: c.hinge, Free: s.hinges(c.unknowns), Round: s.round([]*constraint{c})}
	}
	return nil
}

// reach is how far the motion from flat went, and whether it set out closed.
type reach struct {
	path   []checkpoint
	closed bool
}

// progress is the share of the given folds that the motion reached closed.
// It is 0 where the motion did not set out closed.
func (r reach) progress() float64 {
	if !r.closed || len(r.path) == 0 {
		return 0
	}
	return r.path[len(r.path)-1].progress
}

// lookFurther is for loops that the motion from flat does not close on the asked
// sides. A solution on these sides that the motion does not lead to counts as
// well. Where there is none it says which other sides would do, or that the vertex
// is rigid; where more folds are given than needed, or near says where to look,
// these decide.
func (s *configuration) lookFurther(g *system, r reach) *Fault {
	guided := s.hasNear(g) || g.overgiven() || s.singular(g)
	if !guided && s.elsewhere(g, r) {
		if s.nullity(g, g.loops, 1) > 0 {
			return s.several(g, [][]float64{s.values(g)})
		}
		return nil
	}
	// Turning folds over is a cure for wrong sides only while nothing else than
	// sides says which solution is meant.
	if !s.hasNear(g) {
		other, rigid := s.otherSides(g)
		if other != nil || rigid {
			return s.fault(g, Fault{Kind: LoopUnsolved, Other: other, Rigid: rigid})
		}
	}
	if guided {
		if found := s.searchEnd(g, nil); len(found) > 1 {
			return s.several(g, found)
		}
		s.roundQuarters(g)
	}
	// Closed but for folds that stayed flat; or open, by the given folds or not.
	unmoved, gap := s.unmoved(g), s.worst(g.loops)
	switch {
	case s.closes(g):
		return nil
	case len(unmoved) > 0 && !exceeds(gap, OpenLimit) && !s.strays(g):
		return s.fault(g, Fault{Kind: LoopUnsolved, Gap: gap, Unmoved: s.hinges(unmoved)})
	case g.overgiven() && s.gapes(g):
		return s.fault(g, Fault{Kind: LoopOpen, Gap: s.hingeGap(s.widest(g.loops))})
	}
	f := s.fault(g, Fault{Kind: LoopUnsolved, Gap: gap, Reached: r.progress()})
	f.NoSides = !s.hasNear(g) && len(g.unknowns) <= mostReversed
	f.Until, f.UntilDegrees = s.until(g, f.Reached)
	return f
}

// several is the fault of loops that close in several ways.
func (s *configuration) several(g *system, found [][]float64) *Fault {
	f := s.fault(g, Fault{Kind: LoopUnsolved, Several: true})
	f.Near, f.NearDegrees = s.whereToLook(g, found)
	return f
}

// elsewhere looks for a solution on the asked sides that the motion does not lead
// to, of several the one nearest to where the motion ended. Without a motion, or
// without a solution, the folds stay as they are.
func (s *configuration) elsewhere(g *system, r reach) bool {
	if r.progress() == 0 || len(g.unknowns) > mostScattered {
		return false
	}
	here := s.values(g)
	if len(s.searchEnd(g, r.path[len(r.path)-1].values)) == 1 {
		s.roundQuarters(g)
		if s.closes(g) {
			return true
		}
	}
	s.restore(g, here)
	return false
}

// fault fills in where a system's fault is told.
func (s *configuration) fault(g *system, f Fault) *Fault {
	f.Free, f.Round = s.hinges(g.unknowns), s.round(g.loops)
	// It shows best at the loop that gapes most.
	f.Hinge = f.Free[0]
	if len(g.loops) > 0 {
		f.Hinge = s.widest(g.loops).hinge
	}
	return &f
}

// settleUndecided deals with the unknowns that nothing in this pose decides. What
// the closed pose found keeps its fold from there, scaled like the given ones. A
// fold that the closed pose cannot decide is loose and told about there; one
// whose target is out of reach is not found, and the note on what is left out
// explains it.
func (s *configuration) settleUndecided() []Fault {
	var out []Fault
	for u := range s.unknowns {
		x := &s.unknowns[u]
		if s.found[u] || x.loops > 0 || x.joins > 0 {
			continue
		}
		if closed, ok := s.closed[x.free]; ok {
			s.value[u], s.found[u] = closed*s.pose.At, true
			continue
		}
		if s.pose.Name == model.PoseClosed && s.reachable(x) {
			h := s.joints[x.joints[0]].hinge
			out = append(out, Fault{Kind: LoopLoose, Hinge: h, Missing: 1, Free: []*model.Hinge{h}})
		}
	}
	return out
}

// reachable reports whether folding reaches all that the unknown turns and all
// that this is joined to.
// Exact: it depends on the kinds of hinges and panels, not on measures.
func (p *problem) reachable(x *unknown) bool {
	for _, i := range x.joints {
		if !p.usable(i) {
			return false
		}
		child := p.joints[i].hinge.Child
		for _, j := range p.piece.Joins {
			if (j.A.Panel == child || j.B.Panel == child) && !(p.placeable[p.index[j.A.Panel]] && p.placeable[p.index[j.B.Panel]]) {
				return false
			}
		}
	}
	return true
}

// openLoops reports the loops that given folds alone leave open, with what would
// close them when that is asked for.
// By tolerance, OpenLimit, in mm.
func (s *configuration) openLoops(cures bool) []Fault {
	var out []Fault
	for _, c := range s.rigid {
		if s.stopped() {
			break
		}
		if exceeds(s.gap(c), OpenLimit) {
			f := Fault{Kind: LoopOpen, Hinge: c.hinge, Gap: s.hingeGap(c), Round: s.round([]*constraint{c})}
			if cures {
				f.Cures = s.cures(c)
			}
			out = append(out, f)
		}
	}
	return out
}
