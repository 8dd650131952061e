package contact

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Level is a panel's place among the panels that lie on one another.
type Level struct {
	Stack int         // place in Posed.Stacks; −1 for a panel that no other lies on
	Layer int         // 0 outermost; of two panels of a cell the inner one's is larger, but in a ring
	Out   geom.Point3 // the way out of the stack, the same for all of it; unit
}

// finish writes the order into the stack's cells and the panels' levels. A cell
// that is part of another takes its order from that one.
// number is the stack's place in Posed.Stacks.
func (o *ordering) finish(number int) {
	// The linked list of each whole cell, outermost first, as ranks.
	ranks := make([]map[int32]int, len(o.cells))
	for c := range o.cells {
		ranks[c] = make(map[int32]int, len(o.cells[c]))
		for s := o.head[c]; s >= 0; s = o.slots[s].next {
			ranks[c][o.slots[s].facet] = len(ranks[c])
		}
	}
	for c := range o.stack.Cells {
		// Panels of one facet over one cell do not occur, so ranks differ; the sort is stable all
		// the same.
		rank := ranks[o.part[c]]
		slices.SortStableFunc(o.stack.Cells[c].Panels, func(a, b int) int { return cmp.Compare(rank[o.of[a]], rank[o.of[b]]) })
	}
	o.stack.Tangle = o.tangled
	for f, layer := range o.layering() {
		for _, i := range o.facets[f].panels {
			o.Levels[i] = Level{Stack: number, Layer: layer, Out: o.stack.Out}
		}
	}
}

// layering numbers the facets so that in every cell they grow inward; in a ring,
// but for one step. It is a topological order of the graph that leads from each
// facet to the next in each cell (Kahn, "Topological sorting of large networks",
// 1962; value from memory), where the number is the length of the longest way in.
// For n facets and s slots it takes n + s steps, but n more for each ring that is cut.
func (o *ordering) layering() []int {
	n := len(o.facets)
	layer, waits := make([]int, n), make([]int, n) // waits: slots with one outside that is not numbered
	for _, s := range o.slots {
		if s.outer >= 0 {
			waits[s.facet]++
		}
	}
	done := make([]bool, n)
	var ready []int
	for f := range n {
		if waits[f] == 0 {
			ready = append(ready, f)
		}
	}
	for left := n; left > 0; left-- {
		// In a ring no facet is without one outside it. The one that folded last lies on the others,
		// so it is the outermost where the ring is cut.
		if len(ready) == 0 { // a ring: begin with the facet that folded last
			for f := n - 1; ; f-- {
				if !done[f] {
					ready = append(ready, f)
					break
				}
			}
		}
		f := ready[0]
		ready, done[f] = ready[1:], true
		for _, s := range o.facets[f].slots {
			if next := o.slots[s].next; next >= 0 {
				g := o.slots[next].facet
				if waits[g]--; !done[g] {
					if layer[g] = max(layer[g], layer[f]+1); waits[g] == 0 {
						ready = append(ready, int(g))
					}
				}
			}
		}
	}
	return layer
}

// held is the layer of a stack that stays in place: see Stack.Held. What hangs on
// the first panel or is joined to it is found breadth first.
func (p *Posed) held(s *Stack) int {
	first := s.Panels[0]
	in := map[int]bool{first: true}
	for queue := []int{first}; len(queue) > 0; queue = queue[1:] {
		for _, j := range p.holds[queue[0]] {
			if p.Levels[j].Stack == p.Levels[first].Stack && !in[j] {
				in[j] = true
				queue = append(queue, j)
			}
		}
	}
	// What lies further out than the first panel moves outward with it only if it hangs on it or is
	// joined to it.
	for _, i := range s.Panels {
		if p.Levels[i].Layer < p.Levels[first].Layer && !in[i] {
			return 0
		}
	}
	return p.Levels[first].Layer
}

// place is where a panel lies in a cell.
// rank counts from the outermost panel of the cell.
type place struct{ stack, cell, rank int32 }

// findPlaces lets every panel find its cells, those that are part of no other.
func (p *Posed) findPlaces() {
	p.places = make([][]place, len(p.plates))
	for s := range p.Stacks {
		for c := range p.Stacks[s].Cells {
			if !p.Stacks[s].Cells[c].whole {
				continue
			}
			for k, i := range p.Stacks[s].Cells[c].Panels {
				p.places[i] = append(p.places[i], place{int32(s), int32(c), int32(k)})
			}
		}
	}
}

// IsInside reports whether panel j, which lies on panel i, is on its inside.
func (p *Posed) IsInside(i, j int) bool {
	inside, ok := p.isInside(i, j)
	if !ok { // next to nothing of them in a cell
		inside = p.plates[i].height(p.plates[j].box.mid()) < 0
	}
	return inside
}

// isInside is IsInside where the two share a cell.
// Ranks are integers, so that the answer is exact once the order is decided; that
// i's outside looks out of the stack is by the sign of a cosine near ±1. In a ring two
// panels may share several cells; their order is the same in all (ordering.outer).
func (p *Posed) isInside(i, j int) (inside, ok bool) {
	// Both lists are in order of stack and cell: a merge finds the first cell they share, in time
	// linear in the two.
	a, b := p.places[i], p.places[j]
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].stack == b[0].stack && a[0].cell == b[0].cell:
			up := p.plates[i].normal.Dot(p.Stacks[a[0].stack].Out) > 0
			return (a[0].rank < b[0].rank) == up, true
		case a[0].stack < b[0].stack || a[0].stack == b[0].stack && a[0].cell < b[0].cell:
			a = a[1:]
		default:
			b = b[1:]
		}
	}
	return false, false
}

// Rings lists the pairs of panels that share a cell of which the first lies
// outside the second although its Level lies no further out: in the places where
// the order runs in a ring.
func (p *Posed) Rings() [][2]int {
	var out [][2]int
	for _, s := range p.Stacks {
		for _, c := range s.Cells {
			if !c.whole || slices.IsSortedFunc(c.Panels, func(a, b int) int { return cmp.Compare(p.Levels[a].Layer, p.Levels[b].Layer) }) {
				continue
			}
			for k, i := range c.Panels {
				for _, j := range c.Panels[k+1:] {
					if p.Levels[i].Layer >= p.Levels[j].Layer {
						out = append(out, [2]int{i, j})
					}
				}
			}
		}
	}
	return out
}
