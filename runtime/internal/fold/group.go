package fold

import (
	"sort"
)

// group is a set of unknown folds that loops or joins tie together, with the
// demands on them. Groups share nothing, so each is solved by itself.
type group struct {
	vars  []int // ordered so that variables that meet in a loop stand near one another
	pos   []int // by variable: its place in vars, or −1
	loops []*constraint
	joins []*constraint
	band  int // furthest that two variables of one constraint stand apart
}

// unknowns lists the variables of a chain, each once.
func (s *state) unknowns(c chain) []int {
	var out []int
	seen := map[int]bool{}
	for _, k := range c.links {
		if v := s.varOf[k.joint]; v >= 0 && !seen[v] {
			seen[v] = true
			out = append(out, v)
		}
	}
	return out
}

// groups splits the variables that the constraints touch into independent sets.
func (s *state) groups(loops, joins []*constraint) []*group {
	root := make([]int, len(s.vars))
	for i := range root {
		root[i] = i
	}
	var find func(int) int
	find = func(i int) int {
		if root[i] != i {
			root[i] = find(root[i])
		}
		return root[i]
	}
	touched := make([]bool, len(s.vars))
	all := append(append([]*constraint{}, loops...), joins...)
	for _, c := range all {
		vs := s.unknowns(c.chain)
		for _, v := range vs {
			touched[v] = true
			root[find(v)] = find(vs[0])
		}
	}
	byRoot := map[int]*group{}
	var out []*group
	for v := range s.vars {
		if !touched[v] {
			continue
		}
		g := byRoot[find(v)]
		if g == nil {
			g = &group{}
			byRoot[find(v)] = g
			out = append(out, g)
		}
		g.vars = append(g.vars, v)
	}
	for _, c := range loops {
		g := byRoot[find(s.unknowns(c.chain)[0])]
		g.loops = append(g.loops, c)
	}
	for _, c := range joins {
		g := byRoot[find(s.unknowns(c.chain)[0])]
		g.joins = append(g.joins, c)
	}
	for _, g := range out {
		g.arrange(s)
	}
	return out
}

// all is every demand on the group.
func (g *group) all() []*constraint {
	return append(append([]*constraint{}, g.loops...), g.joins...)
}

// arrange numbers the variables by the Cuthill–McKee rule (breadth first from a
// variable of low degree, neighbours of low degree first), which keeps the
// normal equations in a narrow band.
func (g *group) arrange(s *state) {
	near := map[int]map[int]bool{}
	for _, v := range g.vars {
		near[v] = map[int]bool{}
	}
	for _, c := range g.all() {
		vs := s.unknowns(c.chain)
		for _, v := range vs {
			for _, w := range vs {
				near[v][w] = true
			}
		}
	}
	byDegree := func(vs []int) {
		sort.Slice(vs, func(i, j int) bool {
			a, b := vs[i], vs[j]
			if len(near[a]) != len(near[b]) {
				return len(near[a]) < len(near[b])
			}
			return a < b
		})
	}
	byDegree(g.vars)
	seen := map[int]bool{}
	var order []int
	for _, start := range g.vars {
		if seen[start] {
			continue
		}
		seen[start] = true
		order = append(order, start)
		for at := len(order) - 1; at < len(order); at++ {
			var next []int
			for w := range near[order[at]] {
				if !seen[w] {
					seen[w] = true
					next = append(next, w)
				}
			}
			byDegree(next)
			order = append(order, next...)
		}
	}
	g.vars, g.pos = order, make([]int, len(s.vars))
	for v := range g.pos {
		g.pos[v] = -1
	}
	for i, v := range order {
		g.pos[v] = i
	}
	for v, ws := range near {
		for w := range ws {
			g.band = max(g.band, g.pos[v]-g.pos[w])
		}
	}
}
