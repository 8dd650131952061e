package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// layLeaves turns the leaves onto their targets, again and again while one may
// wait for another, and reports those that never find their place.
func (s *state) layLeaves(leaves []*constraint) []Fault {
	for again := true; again; {
		again = false
		for _, c := range leaves {
			if v := s.leafVar(c); !s.vars[v].found && s.layDown(c) {
				again = true
			}
		}
	}
	var out []Fault
	for _, c := range leaves {
		x := &s.vars[s.leafVar(c)]
		if h := s.joints[x.joints[0]].hinge; !x.found && s.waits(c) {
			out = append(out, Fault{Kind: LoopLoose, Hinge: h, Missing: 1, Free: []*model.Hinge{h}})
		}
	}
	return out
}

// waits reports whether nothing but other leaves keeps a leaf from its place:
// they wait for one another in a ring.
func (s *state) waits(c *constraint) bool {
	for _, k := range c.chain.links {
		if v := s.varOf[k.joint]; v >= 0 && !s.vars[v].found && (s.vars[v].loops > 0 || s.vars[v].joins == 0) {
			return false
		}
	}
	return true
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
		if v < 0 || s.vars[v].loops > 0 || s.vars[v].joins > 1 || len(s.vars[v].joints) > 1 {
			return -1
		}
		return v
	}
	return -1
}

// layDown turns a leaf so that it lies parallel to its target, on the asked
// side: the closed form is the angle between the two normals about the axis.
func (s *state) layDown(c *constraint) bool {
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
			return false // something before it was not found
		}
	}
	normal, up := m.Normal(), geom.Point3{Z: 1}
	turn := math.Atan2(axis.Dot(normal.Cross(up)), normal.Dot(up)-axis.Dot(normal)*axis.Dot(up))
	x.value = s.onSide(c, x, turn)
	x.found = true
	return true
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
