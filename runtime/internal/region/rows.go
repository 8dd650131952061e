package region

// dart is a half-edge by number, as in combinatorial maps: 2k is edge k in its
// own direction, 2k + 1 the other way.
type dart int32

func (d dart) back() dart     { return d ^ 1 }
func (d dart) half() HalfEdge { return HalfEdge{int(d >> 1), d&1 == 1} }

// stops stands for no dart.
const stops = dart(-1)

// onward gives for every dart the one that goes on where it ends; it stops at a
// node of degree other than two. Where d and e are the two darts that leave a node,
// the reverse of d goes on as e and the reverse of e as d.
func (a *Arrangement) onward() []dart {
	type leaving struct {
		count int
		last  [2]dart
	}
	nodes := make([]leaving, len(a.Nodes))
	for k := range a.Edges {
		p := &a.Edges[k]
		for i, node := range [...]int{p.From, p.To} {
			n := &nodes[node]
			n.last[n.count%2] = dart(2*k + i)
			n.count++
		}
	}
	next := make([]dart, 2*len(a.Edges))
	for i := range next {
		next[i] = stops
	}
	for _, n := range nodes {
		if d, e := n.last[0], n.last[1]; n.count == 2 {
			next[d.back()], next[e.back()] = e, d
		}
	}
	return next
}

// row appends the maximal chain of edges through nodes of degree two that an edge
// belongs to, each in the direction in which the chain runs, as far as the closed
// chains use all of it equally often. Its faces on both sides are then the
// same all along, and so are the winding numbers.
func (c *winding) row(piece int, next []dart, row []HalfEdge) []HalfEdge {
	follow := func(d dart) dart {
		if n := next[d]; n != stops && c.flow(n.half()) == c.flow(d.half()) {
			return n
		}
		return stops
	}
	// Back to where it begins; in a ring, once round.
	last := dart(2 * piece).back()
	for d := follow(last); d != stops && d != dart(2*piece).back(); d = follow(d) {
		last = d
	}
	first := last.back()
	row = append(row, first.half())
	for d := follow(first); d != stops && d != first; d = follow(d) {
		row = append(row, d.half())
	}
	return row
}

// longest is the half of a row with the longest chord.
func (a *Arrangement) longest(row []HalfEdge) HalfEdge {
	best, most := row[0], -1.0
	for _, h := range row {
		if from, to := a.Ends(h); a.Nodes[from].Dist(a.Nodes[to]) > most {
			best, most = h, a.Nodes[from].Dist(a.Nodes[to])
		}
	}
	return best
}
