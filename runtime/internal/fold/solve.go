package fold

import (
	"github.com/creasewright/creasewright/runtime/model"
)

// solve finds the unknown folds of the pose and reports what could not be.
func (s *state) solve() []Fault {
	if s.allFlat {
		return nil
	}
	loops, rigid := s.loopConstraints()
	leaves, joins := s.sortJoins()
	var faults []Fault
	for _, g := range s.groups(loops, joins) {
		if s.stopped() {
			return nil
		}
		if f := s.solveGroup(g); f != nil {
			faults = append(faults, *f)
			continue
		}
		for _, v := range g.vars {
			s.vars[v].found = true
		}
	}
	s.grown = 1
	s.layLeaves(leaves)
	faults = append(faults, s.settleRest()...)
	if s.pose.Name == model.PoseClosed {
		s.remember()
	}
	return append(faults, s.openLoops(rigid)...)
}

// loopConstraints makes a demand of every cycle that has an unknown fold, and
// lists the cycles that have none.
func (s *state) loopConstraints() (loops, rigid []*constraint) {
	for _, c := range s.cycles {
		con := s.loop(c)
		vs := s.unknowns(c)
		if len(vs) == 0 {
			rigid = append(rigid, &con)
			continue
		}
		for _, v := range vs {
			s.vars[v].loops++
		}
		loops = append(loops, &con)
	}
	return loops, rigid
}

// sortJoins makes demands of the joins that hold in this pose and that unknown
// folds can reach, and picks out the leaves.
func (s *state) sortJoins() (leaves, joins []*constraint) {
	var all []*constraint
	for _, j := range s.piece.Joins {
		if s.stopped() {
			break
		}
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
			s.vars[v].joins++
		}
		if v := s.hangsBy(j.A.Panel); v >= 0 {
			s.vars[v].lays++
		}
		all = append(all, &con)
	}
	return s.pickLeaves(all)
}

// holds reports whether a join must hold in this pose.
func (s *state) holds(j *model.Join) bool {
	switch j.Kind {
	case model.MeetJoin, model.TuckJoin:
		return s.pose.Name == model.PoseClosed
	}
	return s.pose.Glued
}

// solveGroup finds one group's folds, or says why there are none.
func (s *state) solveGroup(g *group) *Fault {
	loose := 0
	if len(g.loops) > 0 {
		loose, _ = s.follow(g)
	}
	s.grown = 1
	if len(g.joins) > 0 {
		loose = s.reachJoins(g, loose)
	}
	if loose > 0 {
		return s.fault(g, Fault{Kind: LoopLoose, Missing: loose})
	}
	s.snap(g)
	if s.closes(g) {
		return nil
	}
	if len(g.joins) > 0 {
		return s.fault(g, Fault{Kind: LoopUnsolved, Gap: s.worst(g.loops)})
	}
	return s.lookFurther(g)
}

// looseCap bounds the count of missing folds; beyond it the number says no more.
const looseCap = 12

// lookFurther is for loops that the motion from flat does not close on the
// asked sides. Where it would with folds to other sides, it says which; where
// there is more to go by than sides, it looks at the end state itself.
func (s *state) lookFurther(g *group) *Fault {
	if !s.hasNear(g) {
		if other := s.otherSides(g); other != nil {
			return s.fault(g, Fault{Kind: LoopUnsolved, Other: other})
		}
	}
	if s.hasNear(g) || g.overgiven() || s.atFork(g) {
		if s.searchEnd(g) > 1 {
			return s.fault(g, Fault{Kind: LoopUnsolved, Several: true})
		}
		s.snap(g)
	}
	switch {
	case s.closes(g):
		return nil
	case s.flats(g) > 0 && s.worst(g.loops) <= OpenLimit && !s.strays(g):
		return s.fault(g, Fault{Kind: LoopUnsolved, Gap: s.worst(g.loops), Unmoved: s.unmoved(g)})
	case g.overgiven():
		return s.fault(g, Fault{Kind: LoopOpen, Gap: s.gape(s.widest(g.loops))})
	}
	return s.fault(g, Fault{Kind: LoopUnsolved, Gap: s.worst(g.loops)})
}

// overgiven reports whether more folds are given than the loops ask for: each
// leaves three to be found.
func (g *group) overgiven() bool { return len(g.vars) < 3*len(g.loops) }

// fault fills in where a group's fault is told.
func (s *state) fault(g *group, f Fault) *Fault {
	f.Free, f.Round = g.hinges(s), s.round(g.loops)
	f.Hinge = f.Free[0]
	if len(g.loops) > 0 {
		f.Hinge = s.widest(g.loops).hinge
	}
	return &f
}

// widest is the constraint with the largest gap, the first of equals.
func (s *state) widest(cons []*constraint) *constraint {
	best, most := cons[0], -1.0
	for _, c := range cons {
		if gap := s.gap(c); gap > most+closedTo {
			best, most = c, gap
		}
	}
	return best
}

// hinges lists the free hinges of the group in the piece's order.
func (g *group) hinges(s *state) []*model.Hinge {
	var out []*model.Hinge
	for i := range s.joints {
		if v := s.varOf[i]; v >= 0 && g.pos[v] >= 0 {
			out = append(out, s.joints[i].hinge)
		}
	}
	return out
}

// round lists the panels that loops lead over.
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

// openLoops reports the loops that given folds alone leave open.
func (s *state) openLoops(rigid []*constraint) []Fault {
	var out []Fault
	for _, c := range rigid {
		if s.stopped() {
			break
		}
		if s.gap(c) > OpenLimit {
			f := Fault{Kind: LoopOpen, Hinge: c.hinge, Gap: s.gape(c), Round: s.round([]*constraint{c})}
			f.Cure, f.CureDegrees = s.cure(c)
			out = append(out, f)
		}
	}
	return out
}
