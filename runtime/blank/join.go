package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// strand is the stretch of one source curve that a chain of pieces runs along,
// from and to being its parameters in the direction of travel.
type strand struct {
	curve    int
	from, to float64
}

// forward reports whether travel is in the curve's own direction.
func (s strand) forward() bool { return s.from < s.to }

// strands are the curves by which a piece may be put back together with its
// neighbours: all edges along it, else the works. Edges count together, so
// that a corner of any panel or opening along a line stays a vertex of it,
// whichever of them was made first.
func (l *layout) strands(h region.Half) (out []strand, edges bool) {
	for _, u := range l.Pieces[h.Piece].Uses {
		isEdge := l.owners[u.Curve].role <= windowEdge
		if isEdge && !edges {
			out, edges = out[:0], true
		}
		if isEdge != edges {
			continue
		}
		s := strand{u.Curve, u.T0, u.T1}
		if u.Reversed != h.Reversed {
			s.from, s.to = s.to, s.from
		}
		out = append(out, s)
	}
	return out, edges
}

// extend leads the strands of a chain on over the next piece; ok is false
// where the two have a true vertex between them.
func (l *layout) extend(chain []strand, edges bool, next region.Half) (out []strand, ok bool) {
	more, nextEdges := l.strands(next)
	if nextEdges != edges {
		return nil, false
	}
	for _, s := range chain {
		i := slices.IndexFunc(more, func(m strand) bool { return l.follows(s, m) })
		if i >= 0 {
			out = append(out, strand{s.curve, s.from, more[i].to})
		}
	}
	if edges {
		return out, len(out) == len(chain) && len(out) == len(more)
	}
	return out, len(out) > 0
}

// follows reports whether strand b takes up the same curve where a leaves off.
// Welding can swallow a hair of curve between the two.
func (l *layout) follows(a, b strand) bool {
	if a.curve != b.curve || a.forward() != b.forward() || (b.from < a.to) == a.forward() && b.from != a.to {
		return false
	}
	c := l.curves[a.curve]
	return a.to == b.from || c.At(a.to).Dist(c.At(b.from)) <= 8*geom.SnapTolerance
}

// join turns a chain of pieces into curves. Pieces that only the arrangement
// split become one curve again.
func (l *layout) join(chain []region.Half) []geom.Curve {
	var out []geom.Curve
	for len(chain) > 0 {
		strands, edges := l.strands(chain[0])
		n := 1
		for ; n < len(chain); n++ {
			longer, ok := l.extend(strands, edges, chain[n])
			if !ok {
				break
			}
			strands = longer
		}
		out = l.fuse(out, chain[:n], strands)
		chain = chain[n:]
	}
	return out
}

// fuse appends the one curve that the pieces of a strand make. An arc that a
// weld has moved off its centre stays in pieces: it is one arc no longer.
func (l *layout) fuse(out []geom.Curve, chain []region.Half, strands []strand) []geom.Curve {
	if len(chain) == 1 {
		return append(out, l.Curve(chain[0]))
	}
	first, _ := l.Ends(chain[0])
	_, last := l.Ends(chain[len(chain)-1])
	p, q := l.Nodes[first], l.Nodes[last]
	c := l.whole(strands[0])
	switch {
	case c.Kind == geom.Line:
		return append(out, geom.LineFrom(p, q))
	case c.P.Dist(p) > geom.Tiny || c.Q.Dist(q) > geom.Tiny:
		return append(out, l.Curves(chain)...)
	}
	c.P, c.Q = p, q
	return append(out, c)
}

// whole is the strand's curve in the direction of travel.
func (l *layout) whole(s strand) geom.Curve {
	c := l.curves[s.curve]
	if s.forward() {
		return c.Part(s.from, s.to)
	}
	return c.Part(s.to, s.from).Reverse()
}

// turned starts a closed chain at a true vertex, if it has one: of these at
// the piece that comes first.
func (l *layout) turned(ring []region.Half) []region.Half {
	best := -1
	for i, h := range ring {
		prev, edges := l.strands(ring[(i+len(ring)-1)%len(ring)])
		if _, ok := l.extend(prev, edges, h); ok && len(ring) > 1 {
			continue
		}
		if best < 0 || h.Piece < ring[best].Piece {
			best = i
		}
	}
	if best <= 0 {
		return ring
	}
	return append(slices.Clone(ring[best:]), ring[:best]...)
}
