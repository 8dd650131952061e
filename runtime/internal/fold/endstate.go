package fold

import (
	"math"
)

const (
	// openShare is how much of the gap that stands with the unknown folds left
	// flat may remain: given folds rounded to whole degrees leave less, a loop
	// that does not close at all leaves more.
	openShare = 0.05
	// surely is a gap, in mm, that only rounding leaves in a long loop.
	surely = 1e-6
	// still is the size, in radians, below which a fold has not moved.
	still = 1e-7
	// alike is how little, in radians, two solutions differ that are one.
	alike = 1e-5
	// nearQuarter is how near, in radians, a fold is to a quarter turn that may be
	// one: a singular loop leaves the square root of rounding, about 1e-8, and the
	// minimization a few thousand times that.
	nearQuarter = 2e-4
)

// closes reports whether the system's loops are closed with every fold on the
// side asked for: none of them flat, unless no given fold moves either.
func (s *configuration) closes(g *system) bool {
	if len(g.loops) == 0 {
		return true
	}
	return !s.gapes(g) && !s.strays(g) && (len(s.unmoved(g)) == 0 || s.drive(g) == 0)
}

// gapes reports whether the loops stand open: a gap of rounding passes; a larger
// one has to be both under the limit and a small part of what the given folds
// alone leave open.
func (s *configuration) gapes(g *system) bool {
	gap := s.worst(g.loops)
	return exceeds(gap, OpenLimit) || exceeds(gap, surely) && exceeds(gap, openShare*s.opening(g))
}

// opening is how far the loops gape with the unknown folds flat, in mm: the size of
// the task that the unknowns are there to solve.
func (s *configuration) opening(g *system) float64 {
	here := s.values(g)
	for _, u := range g.unknowns {
		s.value[u] = 0
	}
	gap := s.worst(g.loops)
	s.restore(g, here)
	return gap
}

// unmoved lists the unknowns whose folds lie flat, seen beside the given ones.
func (s *configuration) unmoved(g *system) []int {
	least := still
	if drive := s.drive(g); drive > 0 {
		least = math.Min(still, drive*1e-3)
	}
	var out []int
	for _, u := range g.unknowns {
		if math.Abs(s.value[u]) < least {
			out = append(out, u)
		}
	}
	return out
}

// roundQuarters sets folds that are quarter turns but for rounding exactly so
// and lets the others follow, if that closes the loops no worse: at 180° a loop is
// singular and the last digits would otherwise be lost.
func (s *configuration) roundQuarters(g *system) {
	all := g.all()
	was, gap := s.values(g), s.worst(all)
	// Next to flat nothing is a quarter turn.
	if drive := s.drive(g); drive > 0 && drive < leastDrive {
		return
	}
	changed := false
	for _, u := range g.unknowns {
		if q := quarterTurn(s.value[u]); math.Abs(s.value[u]-q) < nearQuarter {
			changed = changed || s.value[u] != q
			s.value[u], s.held[u] = q, true
		}
	}
	// The rounded folds are held while the others close what the rounding opened.
	if changed {
		s.minimize(g, all, byAngle)
	}
	for _, u := range g.unknowns {
		s.held[u] = false
	}
	if changed && s.worst(all) > math.Max(gap, closedTo/10) {
		s.restore(g, was)
	}
}

// singular reports whether a fold has stayed flat where the loops could go
// another way from here: it may be meant to.
func (s *configuration) singular(g *system) bool {
	return len(s.unmoved(g)) > 0 && s.nullity(g, g.loops, 1) > 0
}

// hasNear reports whether some fold of the system says where to look.
func (s *configuration) hasNear(g *system) bool {
	for _, u := range g.unknowns {
		if _, ok := s.near(u); ok {
			return true
		}
	}
	return false
}

// searchEnd looks for folds that close the loops in the end state itself, for
// motions that pass through no closed configurations (a sheet folded in half and
// in half again), end or branch. It takes the folds nearest to what was asked with
// near and to those in from, if it is not nil, and returns the solutions that have
// an equal claim; without one the folds that gape least are left standing.
func (s *configuration) searchEnd(g *system, from []float64) [][]float64 {
	// Each start is minimized, with the folds that say where to look held first,
	// and counts when it closes on the asked sides.
	var found [][]float64
	least, leastGap := s.values(g), math.Inf(1)
	look := func() {
		gap := s.minimize(g, g.loops, byAngle)
		s.roundQuarters(g)
		at := s.values(g)
		if s.closes(g) {
			found = addNew(found, at)
		} else if gap < leastGap-closedTo {
			least, leastGap = at, gap
		}
	}
	for _, start := range s.endStarts(g) {
		s.restore(g, start)
		s.minimizeRoundNear(g)
		look()
	}
	// Scattered starts keep to their sides until they are near a solution.
	for try := 0; len(found) == 0 && try < s.manyStarts(g) && !s.stopped(); try++ {
		s.restore(g, s.startWithin(g, try))
		s.toInside(g)
		s.minimize(g, g.loops, byRange)
		look()
	}
	if len(found) == 0 {
		s.restore(g, least)
		return nil
	}
	// Without near or from all are equally far, and more than one is ambiguous.
	var best [][]float64
	bestCost := math.Inf(1)
	for _, at := range found {
		s.restore(g, at)
		cost := s.farFromAsked(g)
		for i, v := range from {
			cost += math.Abs(at[i] - v)
		}
		switch {
		case cost < bestCost-alike:
			best, bestCost = [][]float64{at}, cost
		case cost < bestCost+alike:
			best = append(best, at)
		}
	}
	s.restore(g, best[0])
	return best
}

// endStarts are the folds to start from in the end state: as they are, or where
// near says and else all alike.
func (s *configuration) endStarts(g *system) [][]float64 {
	// Half turns first: sheets folded over and over are what needs this most.
	out := [][]float64{s.values(g)}
	for _, size := range []float64{math.Pi, math.Pi / 2, 2 * math.Pi / 3, math.Pi / 3} {
		start := make([]float64, len(g.unknowns))
		for i, u := range g.unknowns {
			start[i] = s.side(u) * size
			if near, ok := s.near(u); ok {
				start[i] = near
			}
		}
		out = append(out, start)
	}
	return out
}

// minimizeRoundNear lets the other folds follow those that say where to look.
func (s *configuration) minimizeRoundNear(g *system) {
	if !s.hasNear(g) {
		return
	}
	for _, u := range g.unknowns {
		_, s.held[u] = s.near(u)
	}
	s.minimize(g, g.loops, byAngle)
	for _, u := range g.unknowns {
		s.held[u] = false
	}
}

// addNew adds a solution unless it is there.
func addNew(found [][]float64, at []float64) [][]float64 {
	for _, f := range found {
		far := 0.0
		for i := range f {
			far = math.Max(far, math.Abs(f[i]-at[i]))
		}
		if far < alike {
			return found
		}
	}
	return append(found, at)
}

// farFromAsked is how far the folds are, in radians, from the angles to look
// near; 0 where none is given.
func (s *configuration) farFromAsked(g *system) float64 {
	sum := 0.0
	for _, u := range g.unknowns {
		if near, ok := s.near(u); ok {
			sum += math.Abs(s.value[u] - near)
		}
	}
	return sum
}
