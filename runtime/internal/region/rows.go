package region

// dart is a half by number: 2k is piece k in its own direction, 2k + 1 against.
type dart int32

func (d dart) back() dart     { return d ^ 1 }
func (d dart) half() HalfEdge { return HalfEdge{int(d >> 1), d&1 == 1} }

// stops stands for no dart.
const stops = dart(-1)

// onward gives for every dart the one that goes on where it ends; it stops at a
// node where other than two ends of pieces meet.
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

// row appends the pieces in a row with one, each in the direction in which the
// row runs, as far as the chains run along all of it alike.
func (c *chains) row(piece int, next []dart, row []HalfEdge) []HalfEdge {
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
