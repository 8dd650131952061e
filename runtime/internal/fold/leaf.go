package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// pickLeaves parts joins into leaves and the rest. A leaf is a panel laid on
// another by one unknown of its own, a tab, while all else on the way between
// them is decided without it. Leaves come in an order in which each can be
// turned when those before it are. Where some wait for one another, or for an
// unknown that only they can decide, the first is no leaf.
func (s *state) pickLeaves(all []*constraint) (leaves, joins []*constraint) {
	decided := make([]bool, len(s.vars))
	for v := range s.vars {
		decided[v] = s.vars[v].loops > 0
	}
	rest := all
	take := func(c *constraint) {
		joins = append(joins, c)
		for _, v := range s.unknowns(c.chain) {
			decided[v] = true
		}
	}
	for len(rest) > 0 {
		var waiting []*constraint
		for _, c := range rest {
			v := s.leafVar(c)
			switch {
			case v < 0 || decided[v]:
				take(c)
			case s.waits(c, v, decided):
				waiting = append(waiting, c)
			default:
				leaves = append(leaves, c)
				decided[v] = true
			}
		}
		if len(waiting) == len(rest) {
			take(waiting[0])
			waiting = waiting[1:]
		}
		rest = waiting
	}
	return leaves, joins
}

// waits reports whether some unknown on the way, other than the leaf's own, is
// not decided yet.
func (s *state) waits(c *constraint, own int, decided []bool) bool {
	for _, v := range s.unknowns(c.chain) {
		if v != own && !decided[v] {
			return true
		}
	}
	return false
}

// layLeaves turns the leaves onto their targets, in order.
func (s *state) layLeaves(leaves []*constraint) {
	for _, c := range leaves {
		if s.stopped() {
			return
		}
		s.layDown(c)
	}
}

// leafVar is the unknown that alone turns a panel onto its target: the fold of
// the hinge the panel hangs by, in no loop, shared with no other hinge and asked
// for by no other join. Else −1.
func (s *state) leafVar(c *constraint) int {
	v := s.hangsBy(c.join.A.Panel)
	if v < 0 || c.join.Kind == model.MeetJoin {
		return -1
	}
	if x := &s.vars[v]; x.loops > 0 || x.lays > 1 || len(x.joints) > 1 {
		return -1
	}
	return v
}

// hangsBy is the unknown fold that a panel hangs by, or −1.
func (s *state) hangsBy(p *model.Panel) int {
	for i := range s.joints {
		if s.joints[i].hinge == p.Hang {
			return s.varOf[i]
		}
	}
	return -1
}

// layDown turns a leaf so that it lies parallel to its target, on the asked
// side: the closed form is the angle between the two normals about the axis.
// Nothing is done when a fold on the way was not found.
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
			return // something before it was not found, and told about
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
		if q := quarter(a); math.Abs(a-q) < 1e-12 {
			a = q
		}
		if a*x.side() < -wrongWay || math.Abs(a) > math.Pi+wrongWay {
			continue
		}
		x.value = a
		if far := s.farFrom(c); far < bestFar-geom.SnapTolerance {
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
