package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// reachedTo is when a join counts as held by the solver, in mm.
const reachedTo = 1e-7

// reachJoins turns the group's folds so that its joins hold, loops kept closed,
// and returns how many motions are left free. Starts are where the loops left
// the folds, then even folds of growing size on the asked sides; the smallest
// folds that reach win. Joins that no fold reaches come as near as they can,
// and the loops are closed again last.
func (s *state) reachJoins(g *group, loose int) int {
	all := g.all()
	here := s.values(g)
	best, bestGap := here, math.Inf(1)
	for try := -1; try < len(joinStarts); try++ {
		for i, v := range g.vars {
			s.vars[v].value = s.joinStart(v, try, here[i])
		}
		gap := s.descend(g, all, false, home)
		if !s.strays(g) && gap < bestGap*(1-1e-3) {
			best, bestGap = s.values(g), gap
		}
		if bestGap < reachedTo {
			break
		}
	}
	s.restore(g, best)
	held := bestGap < reachedTo
	if held {
		s.turnOver(g)
	}
	if len(g.loops) == 0 {
		if !held {
			return 0 // the joins tell what is wrong
		}
		return s.freedomBeside(g)
	}
	if !held {
		s.descend(g, g.loops, false, home)
	}
	return min(loose, s.freedom(g, all, looseCap))
}

// turnOver lays each tab that has come to lie in its target's plane on the
// target's side of its hinge: in a tube pressed flat, either side satisfies all
// that a join demands of the folds.
func (s *state) turnOver(g *group) {
	for _, c := range g.joins {
		if v := s.leafVar(c); v >= 0 {
			x := &s.vars[v]
			x.value = s.onSide(c, x, x.value)
		}
	}
}

// freedomBeside counts the motions that joins alone leave free. It measures
// beside the solution, as joins may meet there at a turning point, where the
// first step of a motion that they do forbid goes unnoticed.
func (s *state) freedomBeside(g *group) int {
	here := s.values(g)
	defer s.restore(g, here)
	for i, v := range g.vars {
		s.vars[v].value += 0.01 + 0.003*float64(i%3)
	}
	return s.freedom(g, g.joins, looseCap)
}

// joinStarts are the first guesses for folds that joins alone decide, in radians.
var joinStarts = []float64{math.Pi / 6, math.Pi / 3, math.Pi / 2, 2 * math.Pi / 3, 5 * math.Pi / 6, math.Pi / 12}

func (s *state) joinStart(v, try int, here float64) float64 {
	x := &s.vars[v]
	switch {
	case x.free.Near != nil && try <= 0:
		return geom.Degrees(*x.free.Near).Radians()
	case try < 0:
		if here == 0 {
			return x.side() * startTurn
		}
		return here
	}
	return x.side() * joinStarts[try]
}
