package fold

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

const (
	// mostReversed bounds the unknown folds of a system for which every choice of
	// sides is followed, and mostFormed those for which the closed form is asked.
	mostReversed, mostFormed = 5, 12
	// mostTrials bounds the angles tried for a hint.
	mostTrials = 12
)

// otherSides looks for free hinges that would have to fold the other way for the
// system's loops to close, as few as can be; nil when that does not help. rigid
// reports that the loop of a vertex with one given fold does not even set out to
// fold, on whatever sides.
func (s *configuration) otherSides(g *system) (other []*model.Hinge, rigid bool) {
	if len(g.unknowns) > mostFormed {
		return nil, false
	}
	here := s.values(g)
	defer s.restore(g, here)
	rigid = len(g.loops) == 1 && len(g.loops[0].chain.links) == len(g.unknowns)+1 && s.drive(g) > 0
	// Bit i of the mask reverses the system's unknown i; few bits come first.
	for n := 0; n <= len(g.unknowns); n++ {
		for mask := uint(0); mask < 1<<len(g.unknowns) && !s.stopped(); mask++ {
			if bits.OnesCount(mask) != n {
				continue
			}
			var turned []int
			for i, u := range g.unknowns {
				if mask&(1<<i) != 0 {
					turned = append(turned, u)
				}
			}
			closes, setsOut := s.closesReversed(g, turned)
			if closes && n > 0 {
				return s.hinges(turned), false
			}
			rigid = rigid && !setsOut
		}
	}
	return nil, rigid && len(g.unknowns) <= mostReversed
}

// closesReversed reports whether the system closes with the sides of some folds
// exchanged, all the way from flat, and whether it sets out to. Systems of many
// folds are asked for their closed form alone.
func (s *configuration) closesReversed(g *system, turned []int) (closes, setsOut bool) {
	// Reversed folds forget what near asked for: it lies on the other side.
	for _, u := range turned {
		s.reversed[u] = true
	}
	s.progress = 1
	if len(g.unknowns) > mostReversed {
		closes = s.solveClosedForm(g) != nil
	} else {
		// It has to close on the whole way, not only at its end, to be worth saying.
		var loose int
		loose, setsOut, _ = s.follow(g)
		setsOut = setsOut && len(s.unmoved(g)) < len(g.unknowns)
		s.progress = 1
		s.roundQuarters(g)
		closes = setsOut && loose == 0 && s.closes(g)
	}
	for _, u := range turned {
		s.reversed[u] = false
	}
	return closes, setsOut
}

// whereToLook finds a free hinge and an angle, in degrees, to look near with which
// one of the system's solutions is the only one; the hinge is nil when there is
// none.
func (s *configuration) whereToLook(g *system, found [][]float64) (*model.Hinge, geom.Degrees) {
	if s.trial {
		return nil, 0
	}
	trials := 0
	for _, at := range found {
		for i, u := range g.unknowns {
			degrees := geom.Degrees(math.Round(float64(geom.Radians(at[i]).Degrees())))
			if degrees == 0 {
				continue
			}
			if trials++; trials > mostTrials || s.stopped() {
				return nil, 0
			}
			free := *s.unknowns[u].free
			free.NearDegrees = &degrees
			p := *s.problem
			p.unknowns = slices.Clone(p.unknowns)
			p.unknowns[u].free = &free
			if s.solvable(g, &p) {
				return s.joints[s.unknowns[u].joints[0]].hinge, degrees
			}
		}
	}
	return nil, 0
}

// until finds the given fold that brings the motion to its end at some progress,
// where one alone does and nothing else in the piece hangs on it, and an angle
// that it can be given instead, to a tenth of a degree.
func (s *configuration) until(g *system, progress float64) (*model.Hinge, geom.Degrees) {
	alone := len(s.systems) == 1 && len(s.rigid) == 0 && len(s.piece.Joins) == 0
	if s.trial || !alone || s.pose.Name != model.PoseClosed || s.pose.At != 1 || len(s.pose.FoldDegrees) > 0 {
		return nil, 0
	}
	driving := -1
	for _, c := range g.loops {
		for _, k := range c.chain.links {
			given := s.unknownOf[k.joint] < 0 && s.given[k.joint].Radians() != 0
			if given && driving >= 0 && driving != k.joint {
				return nil, 0
			}
			if given {
				driving = k.joint
			}
		}
	}
	if driving < 0 || progress == 0 {
		return nil, 0
	}
	// Right at its end the motion may be too steep for other strides to follow.
	for _, share := range []float64{1, 0.995, 0.98} {
		degrees := geom.Degrees(math.Trunc(float64(s.given[driving].Degrees())*progress*share*10) / 10)
		p := *s.problem
		p.given = slices.Clone(p.given)
		p.given[driving] = degrees.Angle()
		if degrees != 0 && s.solvable(g, &p) {
			return s.joints[driving].hinge, degrees
		}
	}
	return nil, 0
}

// solvable reports whether a system of another problem on the same mechanism has a
// solution.
func (s *configuration) solvable(g *system, p *problem) bool {
	t := newConfiguration(s.ctx, p)
	t.trial = true
	return t.solveSystem(g).fault == nil && !t.stopped()
}

// cures looks for given folds of a loop any of which alone would close it at
// another angle: those that have to change less, in degrees, first; of equals
// those that the pose does not name, then in turn round the loop from the closing
// hinge.
func (s *configuration) cures(c *constraint) []Turn {
	type cure struct {
		Turn
		named  bool
		change float64 // in radians, rounded so that equals compare as such
	}
	var all []cure
	for _, k := range c.chain.links {
		h := s.joints[k.joint].hinge
		if at, ok := s.closedBy(c, k.joint); ok {
			_, named := s.pose.FoldDegrees[h]
			change := math.Round(math.Abs(at-s.given[k.joint].Radians())/alike) * alike
			all = append(all, cure{Turn{h, geom.Radians(at).Degrees()}, named, change})
		}
	}
	slices.SortStableFunc(all, func(a, b cure) int {
		if a.change == b.change && a.named != b.named {
			if a.named {
				return 1
			}
			return -1
		}
		return cmp.Compare(a.change, b.change)
	})
	var out []Turn
	for _, a := range all {
		out = append(out, a.Turn)
	}
	return out
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
