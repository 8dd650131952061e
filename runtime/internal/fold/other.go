package fold

import (
	"math"
	"math/bits"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// mostTurned bounds the unknown folds of a group for which every choice of
// sides is tried.
const mostTurned = 5

// otherSides looks for free hinges that would have to fold the other way for
// the group's loops to close, as few as can be; nil when that does not help.
func (s *state) otherSides(g *group) []*model.Hinge {
	if len(g.vars) > mostTurned {
		return nil
	}
	here := s.values(g)
	defer s.restore(g, here)
	for n := 1; n <= len(g.vars); n++ {
		for mask := uint(1); mask < 1<<len(g.vars) && !s.stopped(); mask++ {
			if bits.OnesCount(mask) == n && s.closesTurned(g, mask) {
				return s.turned(g, mask)
			}
		}
	}
	return nil
}

// closesTurned reports whether the group closes with the sides of the masked
// folds exchanged.
func (s *state) closesTurned(g *group, mask uint) bool {
	turn := func() {
		for i, v := range g.vars {
			s.vars[v].turned = s.vars[v].turned != (mask&(1<<i) != 0)
		}
	}
	turn()
	defer turn()
	loose, closed := s.follow(g)
	s.grown = 1
	s.snap(g)
	return loose == 0 && closed && s.closes(g)
}

// turned lists the hinges of the masked folds, in the piece's order.
func (s *state) turned(g *group, mask uint) []*model.Hinge {
	var out []*model.Hinge
	for i := range s.joints {
		if v := s.varOf[i]; v >= 0 && g.pos[v] >= 0 && mask&(1<<g.pos[v]) != 0 {
			out = append(out, s.joints[i].hinge)
		}
	}
	return out
}

// cure looks for one given fold of a loop that alone would close it at another
// angle: the one that has to change least, in degrees. The hinge is nil when
// there is none.
func (s *state) cure(c *constraint) (best *model.Hinge, degrees float64) {
	least := math.Inf(1)
	for _, k := range c.chain.links {
		at, ok := s.closedBy(c, k.joint)
		if change := math.Abs(at - s.given[k.joint]); ok && change < least {
			best, degrees, least = s.joints[k.joint].hinge, geom.Radians(at).Degrees(), change
		}
	}
	return best, degrees
}

// closedBy solves for one joint of a loop, all others as they are, and gives
// the angle next to the given one that closes it.
func (s *state) closedBy(c *constraint, joint int) (angle float64, ok bool) {
	t := *s
	t.vars = []variable{{free: &model.Free{Side: model.In}}}
	t.varOf = make([]int, len(s.joints))
	for i := range t.varOf {
		t.varOf[i] = -1
	}
	t.varOf[joint] = 0
	g := &group{vars: []int{0}, pos: []int{0}}
	for _, from := range []float64{s.given[joint], math.Pi / 2, -math.Pi / 2, math.Pi, 0} {
		t.vars[0].value = from
		gap := t.descend(g, []*constraint{c}, false, home)
		if at := t.vars[0].value; gap < surely && math.Abs(at) <= math.Pi+wrongWay {
			return at, true
		}
	}
	return 0, false
}
