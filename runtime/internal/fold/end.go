package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/model"
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
)

// closes reports whether the group's loops are closed with every fold on the
// side asked for: none of them flat, unless no given fold moves either.
func (s *state) closes(g *group) bool {
	if len(g.loops) == 0 {
		return true
	}
	gap := s.worst(g.loops)
	return gap <= OpenLimit && gap <= math.Max(surely, openShare*s.opening(g)) && !s.strays(g) &&
		(s.flats(g) == 0 || s.drive(g) == 0)
}

// opening is how far the loops gape with the unknown folds flat.
func (s *state) opening(g *group) float64 {
	here := s.values(g)
	for _, v := range g.vars {
		s.vars[v].value = 0
	}
	gap := s.worst(g.loops)
	s.restore(g, here)
	return gap
}

// atFork reports whether a fold has stayed flat where the loops could go
// another way from here: it may be meant to.
func (s *state) atFork(g *group) bool {
	return s.flats(g) > 0 && s.freedom(g, g.loops, 1) > 0
}

// flats counts the unknown folds that lie flat.
func (s *state) flats(g *group) int {
	n := 0
	for _, v := range g.vars {
		if math.Abs(s.vars[v].value) < still {
			n++
		}
	}
	return n
}

// unmoved lists the group's free hinges that lie flat, in the piece's order.
func (s *state) unmoved(g *group) []*model.Hinge {
	var out []*model.Hinge
	for _, h := range g.hinges(s) {
		for _, v := range g.vars {
			if x := &s.vars[v]; x.free == h.Fold.Free && math.Abs(x.value) < still {
				out = append(out, h)
			}
		}
	}
	return out
}

// hasNear reports whether some fold of the group says where to look.
func (s *state) hasNear(g *group) bool {
	for _, v := range g.vars {
		if _, ok := s.vars[v].near(); ok {
			return true
		}
	}
	return false
}

// searchEnd looks for folds that close the loops in the end state itself, for
// motions that pass through no closed states (a sheet folded in half and in
// half again) or fork. It takes the folds nearest to what was asked with near,
// and returns how many solutions have an equal claim; without one the folds that
// gape least are left standing.
func (s *state) searchEnd(g *group) int {
	var found [][]float64
	least, leastGap := s.values(g), math.Inf(1)
	for _, start := range s.endStarts(g) {
		s.restore(g, start)
		s.holdNear(g)
		gap := s.descend(g, g.loops, false, home)
		s.snap(g)
		at := s.values(g)
		if s.closes(g) {
			found = addNew(found, at)
		} else if gap < leastGap {
			least, leastGap = at, gap
		}
	}
	if len(found) == 0 {
		s.restore(g, least)
		return 0
	}
	best, claims, bestCost := found[0], 0, math.Inf(1)
	for _, at := range found {
		s.restore(g, at)
		switch cost := s.farFromAsked(g); {
		case cost < bestCost-alike:
			best, claims, bestCost = at, 1, cost
		case cost < bestCost+alike:
			claims++
		}
	}
	s.restore(g, best)
	return claims
}

// endStarts are the folds to start from in the end state: where near says, or
// as they are, or all alike.
func (s *state) endStarts(g *group) [][]float64 {
	here := s.values(g)
	out := [][]float64{here}
	for _, size := range []float64{math.Pi, math.Pi / 2, 2 * math.Pi / 3, math.Pi / 3} {
		start := make([]float64, len(g.vars))
		for i, v := range g.vars {
			start[i] = s.vars[v].side() * size
			if near, ok := s.vars[v].near(); ok {
				start[i] = near
			}
		}
		out = append(out, start)
	}
	return out
}

// holdNear lets the other folds follow those that say where to look.
func (s *state) holdNear(g *group) {
	if !s.hasNear(g) {
		return
	}
	for _, v := range g.vars {
		_, s.vars[v].frozen = s.vars[v].near()
	}
	s.descend(g, g.loops, false, home)
	for _, v := range g.vars {
		s.vars[v].frozen = false
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
func (s *state) farFromAsked(g *group) float64 {
	sum := 0.0
	for _, v := range g.vars {
		if near, ok := s.vars[v].near(); ok {
			sum += math.Abs(s.vars[v].value - near)
		}
	}
	return sum
}
