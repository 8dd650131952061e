package fold

import (
	"math"
	"math/bits"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// mostReversed bounds the unknown folds of a system for which every choice of
// sides is tried.
const mostReversed = 5

// otherSides looks for free hinges that would have to fold the other way for the
// system's loops to close, as few as can be; nil when that does not help.
func (s *configuration) otherSides(g *system) []*model.Hinge {
	if len(g.unknowns) > mostReversed {
		return nil
	}
	here := s.values(g)
	defer s.restore(g, here)
	// Bit i of the mask reverses the system's unknown i; few bits come first.
	for n := 1; n <= len(g.unknowns); n++ {
		for mask := uint(1); mask < 1<<len(g.unknowns) && !s.stopped(); mask++ {
			if bits.OnesCount(mask) != n {
				continue
			}
			var turned []int
			for i, u := range g.unknowns {
				if mask&(1<<i) != 0 {
					turned = append(turned, u)
				}
			}
			if s.closesReversed(g, turned) {
				return s.hinges(turned)
			}
		}
	}
	return nil
}

// closesReversed reports whether the motion from flat closes the system with the
// sides of some folds exchanged.
func (s *configuration) closesReversed(g *system, turned []int) bool {
	// Reversed folds forget what near asked for: it lies on the other side.
	for _, u := range turned {
		s.reversed[u] = true
	}
	// It has to close on the whole way, not only at its end, to be worth saying.
	loose, closed, _ := s.follow(g)
	s.progress = 1
	s.roundQuarters(g)
	closed = closed && loose == 0 && s.closes(g)
	for _, u := range turned {
		s.reversed[u] = false
	}
	return closed
}

// cure looks for one given fold of a loop that alone would close it at another
// angle: the one that has to change least, in degrees; of equals one that the pose
// does not name, then the first round the loop from the closing hinge. The hinge
// is nil when there is none.
func (s *configuration) cure(c *constraint) (best *model.Hinge, degrees float64) {
	least := math.Inf(1)
	for _, named := range []bool{false, true} {
		for _, k := range c.chain.links {
			h := s.joints[k.joint].hinge
			if _, ok := s.pose.FoldDegrees[h]; ok != named {
				continue
			}
			at, ok := s.closedBy(c, k.joint)
			if change := math.Abs(at - s.given[k.joint].Radians()); ok && change < least-alike {
				best, degrees, least = h, geom.Radians(at).Degrees(), change
			}
		}
	}
	return best, degrees
}

// closedBy solves for one joint of a loop, all others as they are, and gives the
// angle next to the given one, in radians, that closes it.
func (s *configuration) closedBy(c *constraint, joint int) (angle float64, ok bool) {
	// The same mechanism with this one unknown, which may go to either side; the
	// first start is the given angle, the others lie a quarter turn apart.
	p := *s.problem
	p.unknowns = []unknown{{free: &model.Free{Side: model.In}}}
	p.position = []int{0}
	p.unknownOf = make([]int, len(s.joints))
	for i := range p.unknownOf {
		p.unknownOf[i] = -1
	}
	p.unknownOf[joint] = 0
	t := newConfiguration(s.ctx, &p)
	g := &system{unknowns: []int{0}}
	for _, from := range []float64{s.given[joint].Radians(), math.Pi / 2, -math.Pi / 2, math.Pi, 0} {
		t.value[0] = from
		gap := t.minimize(g, []*constraint{c}, byAngle)
		if at := t.value[0]; gap < surely && math.Abs(at) <= math.Pi+wrongWay {
			return at, true
		}
	}
	return 0, false
}
