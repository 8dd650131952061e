package blank

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// trail is edges of the arrangement end to end.
type trail struct {
	halves []region.HalfEdge
	closed bool // ends where it starts, or is the whole of a closed path
}

// eulerTrails covers edges of an arrangement with the fewest trails, every edge in
// one: a connected graph where 2k nodes have odd degree takes k open trails, or one
// closed one when k is 0 (Euler). At each node ends are paired, the straightest pairs
// first; then closed trails are spliced into others that share a node with them
// (Hierholzer). Which pairs are straightest is computed, not exact, and decides how a
// tool runs, not what is cut; exact ties go by the order of the edges.
func eulerTrails(arr *region.Arrangement, edges []int) []trail {
	t := newTrailBuilder(arr, edges)
	for _, ends := range t.nodes {
		t.pair(ends)
	}
	for _, ends := range t.nodes {
		t.splice(ends)
	}
	return t.walk()
}

// trailBuilder joins edges by their ends: end 2k is where the k-th edge starts and
// 2k+1 where it stops.
type trailBuilder struct {
	arr   *region.Arrangement
	edges []int
	nodes [][]int // ends in each node
	mate  []int   // the end that an end runs on into; −1 for none
	group []int   // union-find over edges: one group a trail
	open  []bool  // by group: the trail has two free ends
}

func newTrailBuilder(arr *region.Arrangement, edges []int) *trailBuilder {
	t := &trailBuilder{arr: arr, edges: edges}
	at := map[int]int{} // place in t.nodes by node number
	for k, p := range edges {
		for side, node := range [...]int{arr.Edges[p].From, arr.Edges[p].To} {
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

// pair links the ends at a node two by two, those whose directions are most nearly
// opposite first, until at most one end is left over.
func (t *trailBuilder) pair(ends []int) {
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
			t.link(x.a, x.b)
		}
	}
}

// away is the unit tangent with which the edge of an end leaves the node.
func (t *trailBuilder) away(end int) geom.Point {
	c := t.arr.Edges[t.edges[end/2]].Curve
	if end%2 == 0 {
		return c.Tangent(0)
	}
	return c.Tangent(1).Mul(-1)
}

// link makes two free ends mates, and one of the trails that they belong to; a trail
// whose own ends are linked is closed.
func (t *trailBuilder) link(a, b int) {
	t.mate[a], t.mate[b] = b, a
	x, y := t.find(a/2), t.find(b/2)
	if x == y {
		t.open[x] = false
	}
	t.group[y] = x
}

// find is the trail that the k-th edge is in.
func (t *trailBuilder) find(k int) int {
	for t.group[k] != k {
		t.group[k] = t.group[t.group[k]]
		k = t.group[k]
	}
	return k
}

// splice inserts every closed trail through a node into another trail through it, if
// there is one.
func (t *trailBuilder) splice(ends []int) {
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
func (t *trailBuilder) divert(a, c int) {
	b, d := t.mate[a], t.mate[c]
	into := t.find(c / 2)
	t.group[t.find(a/2)] = into
	t.mate[a], t.mate[c] = c, a
	t.mate[b] = d
	if d >= 0 {
		t.mate[d] = b
	}
}

// walk lists the trails in order of their first edges: open ones from the
// free end met first, closed ones along their first edge.
func (t *trailBuilder) walk() []trail {
	var out []trail
	done := make([]bool, len(t.edges))
	follow := func(end int, closed bool) {
		c := trail{closed: closed}
		for end >= 0 && !done[end/2] {
			done[end/2] = true
			c.halves = append(c.halves, region.HalfEdge{Edge: t.edges[end/2], Reversed: end%2 == 1})
			end = t.mate[end^1]
		}
		out = append(out, c)
	}
	for end, mate := range t.mate {
		if mate < 0 && !done[end/2] {
			follow(end, false)
		}
	}
	for k := range t.edges {
		if !done[k] {
			follow(2*k, true)
		}
	}
	slices.SortStableFunc(out, func(a, b trail) int { return cmp.Compare(first(a), first(b)) })
	return out
}

// first is the lowest number of the chain's edges.
func first(c trail) int {
	least := c.halves[0].Edge
	for _, h := range c.halves {
		least = min(least, h.Edge)
	}
	return least
}

// span is the stretch of one source curve that a chain of edges runs along,
// from and to being its parameters in the direction of travel.
type span struct {
	curve    int
	from, to float64
}

// forward reports whether travel is in the curve's own direction.
func (s span) forward() bool { return s.from < s.to }

// spans are the curves by which an edge may be put back together with its
// neighbours: all edges along it, else the works. Edges count together, so
// that a corner of any panel or opening along a line stays a vertex of it,
// whichever of them was made first.
func (l *layout) spans(h region.HalfEdge) (out []span, edges bool) {
	for _, u := range l.Edges[h.Edge].Origins {
		isEdge := l.owners[u.Curve].role <= windowEdge
		if isEdge && !edges {
			out, edges = out[:0], true
		}
		if isEdge != edges {
			continue
		}
		s := span{u.Curve, u.T0, u.T1}
		if u.Reversed != h.Reversed {
			s.from, s.to = s.to, s.from
		}
		out = append(out, s)
	}
	return out, edges
}

// extend leads the spans of a chain on over the next edge; ok is false
// where the two have a true vertex between them.
func (l *layout) extend(chain []span, edges bool, next region.HalfEdge) (out []span, ok bool) {
	more, nextEdges := l.spans(next)
	if nextEdges != edges {
		return nil, false
	}
	for _, s := range chain {
		i := slices.IndexFunc(more, func(m span) bool { return l.follows(s, m) })
		if i >= 0 {
			out = append(out, span{s.curve, s.from, more[i].to})
		}
	}
	if edges {
		return out, len(out) == len(chain) && len(out) == len(more)
	}
	return out, len(out) > 0
}

// maxSnapGap is the length in mm of curve that snapping can remove between two
// neighbouring stretches of it: their common node may have been merged with others
// that lie up to a few tolerances away, on either side.
const maxSnapGap = 8 * geom.SnapTolerance

// follows reports whether span b continues the same curve where a ends, but for a
// gap of up to maxSnapGap; in the same direction, and not before it.
func (l *layout) follows(a, b span) bool {
	if a.curve != b.curve || a.forward() != b.forward() || (b.from < a.to) == a.forward() && b.from != a.to {
		return false
	}
	c := l.curves[a.curve]
	return a.to == b.from || c.At(a.to).Dist(c.At(b.from)) <= maxSnapGap
}

// join turns a chain of edges into curves. Edges that only the arrangement
// split become one curve again.
func (l *layout) join(chain []region.HalfEdge) []geom.Curve {
	var out []geom.Curve
	for len(chain) > 0 {
		spans, edges := l.spans(chain[0])
		n := 1
		for ; n < len(chain); n++ {
			longer, ok := l.extend(spans, edges, chain[n])
			if !ok {
				break
			}
			spans = longer
		}
		out = l.merge(out, chain[:n], spans)
		chain = chain[n:]
	}
	return out
}

// merge appends the one curve that the edges of a span make. An arc whose ends
// snapping has moved by more than geom.Tiny stays in pieces, each of which has been
// fitted to its own ends.
func (l *layout) merge(out []geom.Curve, chain []region.HalfEdge, spans []span) []geom.Curve {
	if len(chain) == 1 {
		return append(out, l.Curve(chain[0]))
	}
	first, _ := l.Ends(chain[0])
	_, last := l.Ends(chain[len(chain)-1])
	p, q := l.Nodes[first], l.Nodes[last]
	c := l.whole(spans[0])
	switch {
	case c.Kind == geom.Line:
		return append(out, geom.LineFrom(p, q))
	case c.P.Dist(p) > geom.Tiny || c.Q.Dist(q) > geom.Tiny:
		return append(out, l.Curves(chain)...)
	}
	c.P, c.Q = p, q
	return append(out, c)
}

// whole is the span's curve in the direction of travel.
func (l *layout) whole(s span) geom.Curve {
	c := l.curves[s.curve]
	if s.forward() {
		return c.Part(s.from, s.to)
	}
	return c.Part(s.to, s.from).Reverse()
}

// startAtVertex starts a closed chain at a true vertex, if it has one: of these at
// the edge that comes first.
func (l *layout) startAtVertex(ring []region.HalfEdge) []region.HalfEdge {
	best := -1
	for i, h := range ring {
		prev, edges := l.spans(ring[(i+len(ring)-1)%len(ring)])
		if _, ok := l.extend(prev, edges, h); ok && len(ring) > 1 {
			continue
		}
		if best < 0 || h.Edge < ring[best].Edge {
			best = i
		}
	}
	if best <= 0 {
		return ring
	}
	return append(slices.Clone(ring[best:]), ring[:best]...)
}
