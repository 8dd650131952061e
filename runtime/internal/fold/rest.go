package fold

import (
	"github.com/creasewright/creasewright/runtime/model"
)

// settleRest deals with the unknowns that nothing in this pose decides. What
// the closed pose found keeps its fold from there, scaled like the given ones. A
// fold that the closed pose cannot decide is loose and told about there; one
// whose target is out of reach is not found, and the note on what is left out
// explains it.
func (s *state) settleRest() []Fault {
	var out []Fault
	for v := range s.vars {
		x := &s.vars[v]
		if x.found || x.loops > 0 || x.joins > 0 {
			continue
		}
		if closed, ok := s.closed[x.free]; ok {
			x.value, x.found = closed*s.pose.At, true
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
func (s *state) reachable(x *variable) bool {
	for _, i := range x.joints {
		if !s.usable(i) {
			return false
		}
		for _, j := range s.piece.Joins {
			child := s.joints[i].hinge.Child
			if (j.A.Panel == child || j.B.Panel == child) && !(s.reach[s.index[j.A.Panel]] && s.reach[s.index[j.B.Panel]]) {
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
