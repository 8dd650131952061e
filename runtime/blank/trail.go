package blank

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// chain is pieces end to end.
type chain struct {
	halves []region.Half
	closed bool
}

// trails joins pieces into the fewest unbroken chains, every piece in one: a
// connected drawing where 2k nodes have an odd number of ends takes k open
// trails, or one closed one when k is 0 (Euler). At each node the straightest
// pairs run on into one another; closed trails are then spliced into whatever
// they touch.
func trails(arr *region.Arrangement, pieces []int) []chain {
	t := newTrailer(arr, pieces)
	for _, ends := range t.nodes {
		t.pair(ends)
	}
	for _, ends := range t.nodes {
		t.splice(ends)
	}
	return t.walk()
}

// trailer joins pieces by their ends: end 2k is where the k-th piece starts
// and 2k+1 where it stops.
type trailer struct {
	arr    *region.Arrangement
	pieces []int
	nodes  [][]int // ends in each node
	mate   []int   // the end that an end runs on into; −1 for none
	group  []int   // union-find over pieces: one group a trail
	open   []bool  // by group: the trail has two free ends
}

func newTrailer(arr *region.Arrangement, pieces []int) *trailer {
	t := &trailer{arr: arr, pieces: pieces}
	at := map[int]int{} // place in t.nodes by node number
	for k, p := range pieces {
		for side, node := range [...]int{arr.Pieces[p].From, arr.Pieces[p].To} {
			i, ok := at[node]
			if !ok {
				i = len(t.nodes)
				at[node], t.nodes = i, append(t.nodes, nil)
			}
			t.nodes[i] = append(t.nodes[i], 2*k+side)
			t.mate = append(t.mate, -1)
		}
		t.group = append(t.group, k)
		t.open = append(t.open, true)
	}
	return t
}

// pair makes mates at a node, straightest first, until at most one end is
// left over.
func (t *trailer) pair(ends []int) {
	type bend struct {
		a, b int
		dot  float64 // of the two directions away from the node
	}
	var bends []bend
	for i, a := range ends {
		for _, b := range ends[i+1:] {
			bends = append(bends, bend{a, b, t.away(a).Dot(t.away(b))})
		}
	}
	slices.SortStableFunc(bends, func(x, y bend) int { return cmp.Compare(x.dot, y.dot) })
	for _, x := range bends {
		if t.mate[x.a] < 0 && t.mate[x.b] < 0 {
			t.tie(x.a, x.b)
		}
	}
}

// away is the direction in which an end's piece leaves the node.
func (t *trailer) away(end int) geom.Point {
	c := t.arr.Pieces[t.pieces[end/2]].Curve
	if end%2 == 0 {
		return c.Tangent(0)
	}
	return c.Tangent(1).Mul(-1)
}

// tie makes two free ends mates and their trails one.
func (t *trailer) tie(a, b int) {
	t.mate[a], t.mate[b] = b, a
	x, y := t.find(a/2), t.find(b/2)
	if x == y {
		t.open[x] = false
	}
	t.group[y] = x
}

// find is the trail that the k-th piece is in.
func (t *trailer) find(k int) int {
	for t.group[k] != k {
		t.group[k] = t.group[t.group[k]]
		k = t.group[k]
	}
	return k
}

// splice works every closed trail through a node into another one there, if
// there is one.
func (t *trailer) splice(ends []int) {
	for _, a := range ends {
		for _, c := range ends {
			if closed := t.find(a / 2); !t.open[closed] && t.find(c/2) != closed {
				t.divert(a, c)
			}
		}
	}
}

// divert leads the trail through end c once round the closed trail through
// end a of the same node.
func (t *trailer) divert(a, c int) {
	b, d := t.mate[a], t.mate[c]
	into := t.find(c / 2)
	t.group[t.find(a/2)] = into
	t.mate[a], t.mate[c] = c, a
	t.mate[b] = d
	if d >= 0 {
		t.mate[d] = b
	}
}

// walk lists the trails in order of their first pieces: open ones from the
// free end met first, closed ones along their first piece.
func (t *trailer) walk() []chain {
	var out []chain
	done := make([]bool, len(t.pieces))
	follow := func(end int, closed bool) {
		c := chain{closed: closed}
		for end >= 0 && !done[end/2] {
			done[end/2] = true
			c.halves = append(c.halves, region.Half{Piece: t.pieces[end/2], Reversed: end%2 == 1})
			end = t.mate[end^1]
		}
		out = append(out, c)
	}
	for end, mate := range t.mate {
		if mate < 0 && !done[end/2] {
			follow(end, false)
		}
	}
	for k := range t.pieces {
		if !done[k] {
			follow(2*k, true)
		}
	}
	slices.SortStableFunc(out, func(a, b chain) int { return cmp.Compare(first(a), first(b)) })
	return out
}

// first is the lowest number of the chain's pieces.
func first(c chain) int {
	least := c.halves[0].Piece
	for _, h := range c.halves {
		least = min(least, h.Piece)
	}
	return least
}
