package fold

import (
	"cmp"
	"slices"
)

// system is a set of unknowns that loops and joins tie together, with the
// constraints on them. Systems share nothing, so each is solved by itself.
type system struct {
	unknowns []int // numbered so that those that meet in a constraint stand near one another
	loops    []*constraint
	joins    []*constraint
	band     int // furthest that two unknowns of one constraint stand apart
}

// all is every constraint on the system.
func (g *system) all() []*constraint { return slices.Concat(g.loops, g.joins) }

// overgiven reports whether more folds are given than the loops ask for: each
// leaves three to be found.
// A loop of panels round one point has three equations that are independent, though
// six are written down. Round a hole it has up to six: with three unknowns or more
// there too many folds may be given, and this does not see it. No loop passes or fails by
// that. One that does not close is told as LoopUnsolved rather than LoopOpen, with the
// advice to change given folds; given folds that go together only in the end state
// are led there by least squares.
func (g *system) overgiven() bool { return len(g.unknowns) < 3*len(g.loops) }

// graph says which unknowns share a constraint: it has an edge between any two of
// one constraint, kept as the constraints themselves, whose unknowns would make
// quadratically many edges.
type graph struct {
	constraints []*constraint
	at          [][]int // by unknown: the constraints on it
	degree      []int   // by unknown: the unknowns it shares one with, itself included
	seen        []bool  // by unknown
}

// newGraph counts the degrees, in time that grows as the sum over the constraints of
// the square of their unknowns.
func (p *problem) newGraph(constraints []*constraint) *graph {
	n := len(p.unknowns)
	h := &graph{constraints: constraints, at: make([][]int, n), degree: make([]int, n), seen: make([]bool, n)}
	for k, c := range constraints {
		for _, u := range c.unknowns {
			h.at[u] = append(h.at[u], k)
		}
	}
	// mark tells which neighbours of u have been counted: those marked u+1.
	mark := make([]int, n)
	for u := range p.unknowns {
		for _, k := range h.at[u] {
			for _, w := range constraints[k].unknowns {
				if mark[w] != u+1 {
					mark[w] = u + 1
					h.degree[u]++
				}
			}
		}
	}
	return h
}

// from lists the unknowns tied to u, breadth first, neighbours of low degree
// before others: those first met at one unknown are sorted among themselves. It
// marks them as seen.
// Only unknowns that are not yet seen are listed.
func (h *graph) from(u int) []int {
	order := []int{u}
	h.seen[u] = true
	for at := 0; at < len(order); at++ {
		level := len(order)
		for _, k := range h.at[order[at]] {
			for _, w := range h.constraints[k].unknowns {
				if !h.seen[w] {
					h.seen[w] = true
					order = append(order, w)
				}
			}
		}
		slices.SortFunc(order[level:], h.byDegree)
	}
	return order
}

// byDegree orders unknowns for the walk; ties go by number, so that the order is
// always the same.
func (h *graph) byDegree(a, b int) int {
	return cmp.Or(cmp.Compare(h.degree[a], h.degree[b]), cmp.Compare(a, b))
}

// split parts the unknowns that constraints touch into independent systems, in
// the order of their first unknowns. Each is numbered by the Cuthill–McKee rule
// (E. Cuthill, J. McKee, Proc. 24th ACM Nat. Conf. (1969) 157–172, from memory):
// breadth first from an unknown of low degree. That keeps the normal equations
// in a narrow band.
func (p *problem) split(loops, joins []*constraint) []*system {
	h := p.newGraph(slices.Concat(loops, joins))
	var out []*system
	owner := make([]*system, len(p.unknowns))
	for u := range p.unknowns {
		if h.seen[u] || h.degree[u] == 0 {
			continue
		}
		// A first walk finds the members, a second one numbers them from the
		// member of lowest degree.
		g := &system{}
		members := h.from(u)
		for _, w := range members {
			h.seen[w], owner[w] = false, g
		}
		g.unknowns = h.from(slices.MinFunc(members, h.byDegree))
		for i, w := range g.unknowns {
			p.position[w] = i
		}
		out = append(out, g)
	}
	for _, c := range h.constraints {
		g := owner[c.unknowns[0]]
		if c.join == nil {
			g.loops = append(g.loops, c)
		} else {
			g.joins = append(g.joins, c)
		}
		g.widen(p, c)
	}
	return out
}

// widen makes room in the band for a constraint, which fills the block of JᵀJ
// between its first and its last unknown.
// The band is in diagonals above the main one: a matrix of band k has k + 1 of them.
func (g *system) widen(p *problem, c *constraint) {
	lo, hi := len(g.unknowns), 0
	for _, u := range c.unknowns {
		lo, hi = min(lo, p.position[u]), max(hi, p.position[u])
	}
	g.band = max(g.band, hi-lo)
}
