package fold

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// state is one pose being worked out: which folds are given, which are
// unknown, and the values of the unknowns so far.
type state struct {
	*linkage
	ctx     context.Context
	pose    *model.Pose
	allFlat bool
	vars    []variable
	varOf   []int     // by joint: its variable, or −1
	given   []float64 // by joint: radians at the end of the motion
	grown   float64   // how far along the motion, 0…1
}

// variable is one unknown fold, shared by one or more joints.
type variable struct {
	free   *model.Free
	joints []int
	value  float64 // radians
	found  bool
	loops  int // cycles it takes part in
	joins  int // joins it takes part in
	lays   int // joins of the panels that hang by it

	frozen bool // held still for the moment
	turned bool // asked for the other side for the moment
}

// newState reads a pose: a free hinge that it names becomes given, for every
// hinge that shares the unknown.
func newState(ctx context.Context, l *linkage, p *model.Pose) *state {
	s := &state{
		linkage: l, ctx: ctx, pose: p, grown: 1,
		varOf: make([]int, len(l.joints)), given: make([]float64, len(l.joints)),
	}
	pinned := map[*model.Free]float64{}
	for i := range l.joints {
		h := l.joints[i].hinge
		if deg, ok := p.Folds[h]; ok && h.Fold.Free != nil {
			pinned[h.Fold.Free] = geom.Degrees(deg).Radians()
		}
	}
	s.allFlat = p.At == 0 && allZero(p)
	byFree := map[*model.Free]int{}
	for i := range l.joints {
		s.varOf[i] = -1
		s.setFold(i, pinned, byFree)
	}
	return s
}

// stopped reports whether the context has ended: every iteration of the solver
// looks, and whatever calls it then comes to its end at once.
func (s *state) stopped() bool { return s.ctx.Err() != nil }

func allZero(p *model.Pose) bool {
	for _, deg := range p.Folds {
		if deg != 0 {
			return false
		}
	}
	return true
}

// setFold sorts one joint into given or unknown.
func (s *state) setFold(i int, pinned map[*model.Free]float64, byFree map[*model.Free]int) {
	h := s.joints[i].hinge
	free := h.Fold.Free
	if deg, ok := s.pose.Folds[h]; ok {
		s.given[i] = geom.Degrees(deg).Radians()
		return
	}
	if free == nil {
		s.given[i] = geom.Degrees(h.Fold.Degrees).Radians() * s.pose.At
		return
	}
	if angle, ok := pinned[free]; ok {
		s.given[i] = angle
		return
	}
	if s.allFlat {
		return // everything lies flat: nothing to find
	}
	v, ok := byFree[free]
	if !ok {
		v = len(s.vars)
		byFree[free] = v
		s.vars = append(s.vars, variable{free: free})
	}
	s.varOf[i] = v
	s.vars[v].joints = append(s.vars[v].joints, i)
}

// angle is a joint's fold in radians at this moment of the motion.
func (s *state) angle(i int) float64 {
	if v := s.varOf[i]; v >= 0 {
		return s.vars[v].value
	}
	return s.given[i] * s.grown
}

// known reports whether a joint's fold is given or was found.
func (s *state) known(i int) bool {
	v := s.varOf[i]
	return v < 0 || s.vars[v].found
}

// degrees is the joint's result.
func (s *state) degrees(i int) Angle {
	if !s.known(i) {
		return Angle{}
	}
	if v := s.varOf[i]; v < 0 {
		h := s.joints[i].hinge
		// Give back what was given to the last digit.
		if deg, ok := s.pose.Folds[h]; ok {
			return Angle{deg, true}
		}
		if h.Fold.Free == nil {
			return Angle{h.Fold.Degrees * s.pose.At, true}
		}
	}
	return Angle{geom.Radians(s.angle(i)).Degrees(), true}
}

// side is the asked sign of a variable.
func (v *variable) side() float64 {
	if v.turned {
		return -float64(v.free.Side)
	}
	return float64(v.free.Side)
}

// near is the angle to look near, in radians, where one was asked for.
func (v *variable) near() (angle float64, ok bool) {
	if v.free.Near == nil || v.turned {
		return 0, false
	}
	return geom.Degrees(*v.free.Near).Radians(), true
}

// carry multiplies a chain out: the frame of its last panel in its first one's.
func (s *state) carry(c chain) geom.RigidTransform {
	m := geom.Identity3()
	for _, k := range c.links {
		m = s.step(k).Then(m)
	}
	return m
}

// step carries the frame of the panel a link leads to into the one it leaves.
func (s *state) step(k link) geom.RigidTransform {
	m := s.joints[k.joint].carry(s.angle(k.joint))
	if k.back {
		return m.Inverse()
	}
	return m
}

// screw is a joint's axis seen from a chain's first panel, with the sign by
// which a growing fold turns the far end.
type screw struct {
	variable int
	at, axis geom.Point3
}

// screws lists the turning axes of a chain's unknown joints and the chain's
// product.
func (s *state) screws(c chain) ([]screw, geom.RigidTransform) {
	m := geom.Identity3()
	var out []screw
	for _, k := range c.links {
		j := &s.joints[k.joint]
		next := s.step(k).Then(m)
		frame, sign := m, 1.0 // the joint's axis lies in panel a's frame
		if k.back {
			frame, sign = next, -1
		}
		if v := s.varOf[k.joint]; v >= 0 {
			out = append(out, screw{v, frame.Apply(j.at), frame.ApplyDir(j.axis).Mul(sign)})
		}
		m = next
	}
	return out, m
}
