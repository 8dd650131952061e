package fold

import (
	"math"
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
)

// follow leads the group's loops from flat to the given folds, as far as it
// gets. It returns how many motions they leave free half-way, where no fold is
// at a singular end, and whether they set out closed: given folds that only go
// together in the end state do not.
func (s *state) follow(g *group) (loose int, closed bool) {
	drive := s.drive(g)
	if drive == 0 {
		return s.rest(g), true
	}
	s.grown = math.Min(1, startTurn/drive)
	if !s.start(g, drive*s.grown) {
		return 0, false
	}
	closed = s.worst(g.loops) < surely
	before, beforeAt := make([]float64, len(g.vars)), 0.0 // flat
	here := s.values(g)
	loose = -1
	for stride := firstStride; s.grown < 1 && !s.stopped(); {
		from := s.grown
		s.grown = math.Min(1, from+stride)
		s.foresee(g, before, here, (s.grown-from)/(from-beforeAt))
		s.descend(g, g.loops, false, s.target())
		if s.jumped(g, here) || s.strays(g) {
			s.grown = from
			s.restore(g, here)
			if stride /= 2; stride < minStride {
				break
			}
			continue
		}
		before, beforeAt = here, from
		here = s.values(g)
		stride = math.Min(stride*1.5, firstStride)
		if loose < 0 && s.grown >= 0.5 {
			loose = s.freedom(g, g.loops, looseCap)
		}
	}
	if loose < 0 {
		loose = s.freedom(g, g.loops, looseCap)
	}
	return loose, closed
}

// foresee goes on from two points of the motion in a straight line.
func (s *state) foresee(g *group, before, here []float64, k float64) {
	for i, v := range g.vars {
		s.vars[v].value = here[i] + k*(here[i]-before[i])
	}
}

// rest deals with loops in which no given fold moves: their unknown folds stay
// flat, unless none is given at all, or they could move on the asked sides all
// the same. Then folds are missing.
func (s *state) rest(g *group) (loose int) {
	s.grown = 1
	if s.start(g, startTurn) && s.worst(g.loops) < closedTo && s.largest(g) > startTurn/10 {
		return max(1, s.freedom(g, g.loops, looseCap))
	}
	for _, v := range g.vars {
		s.vars[v].value = 0
	}
	if !s.anyGiven(g) {
		return max(1, len(g.vars)-3*len(g.loops))
	}
	return 0
}

// anyGiven reports whether some fold of the group's loops is given.
func (s *state) anyGiven(g *group) bool {
	for _, c := range g.loops {
		for _, k := range c.chain.links {
			if s.varOf[k.joint] < 0 {
				return true
			}
		}
	}
	return false
}

// largest is the size of the group's largest fold.
func (s *state) largest(g *group) float64 {
	top := 0.0
	for _, v := range g.vars {
		top = math.Max(top, math.Abs(s.vars[v].value))
	}
	return top
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
		if s.stopped() {
			break
		}
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
