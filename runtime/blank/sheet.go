package blank

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/region"
)

// sheets gives each panel's board after windows. Its boundary is every piece
// with that board on one side only, whatever kind of line the piece is.
func (l *layout) sheets() []Sheet {
	bounds := make([][]region.Half, len(l.panels))
	for i := range l.Pieces {
		s := &l.sides[i]
		for _, c := range s[leftSide] {
			if !s.has(rightSide, c.index) {
				bounds[c.index] = append(bounds[c.index], region.Half{Piece: i})
			}
		}
		for _, c := range s[rightSide] {
			if !s.has(leftSide, c.index) {
				bounds[c.index] = append(bounds[c.index], region.Half{Piece: i, Reversed: true})
			}
		}
	}
	out := make([]Sheet, len(l.panels))
	for i, p := range l.panels {
		out[i].Panel = p
		for _, ring := range l.rings(bounds[i]) {
			curves := l.join(l.turned(ring))
			out[i].Rings = append(out[i].Rings, curves)
			out[i].Area += enclosed(curves)
		}
	}
	return out
}

// rings traces boundaries with their board on the left. They are traced in an
// arrangement of their own, as the whole one may be thousands of times their
// size. Boundaries that do not close, which takes features finer than a weld,
// are noted as a fault and left out.
func (l *layout) rings(halves []region.Half) [][]region.Half {
	small, local := l.excerpt(halves)
	rings, err := small.Rings(local, region.PartHoles)
	if err != nil {
		l.unclosed = append(l.unclosed, err)
		return nil
	}
	for _, ring := range rings {
		for i, h := range ring {
			ring[i] = halves[h.Piece]
		}
	}
	return rings
}

// excerpt is an arrangement of the halves alone, and what they are in it: its
// pieces are the halves in order, each in the direction of its half.
func (l *layout) excerpt(halves []region.Half) (region.Arrangement, []region.Half) {
	var small region.Arrangement
	local := make([]region.Half, len(halves))
	number := make(map[int]int, len(halves))
	node := func(n int) int {
		k, ok := number[n]
		if !ok {
			k = len(small.Nodes)
			number[n], small.Nodes = k, append(small.Nodes, l.Nodes[n])
		}
		return k
	}
	for i, h := range halves {
		from, to := l.Ends(h)
		small.Pieces = append(small.Pieces, region.Piece{Curve: l.Curve(h), From: node(from), To: node(to)})
		local[i] = region.Half{Piece: i}
	}
	return small, local
}

// enclosed is the area inside a ring, negative round a hole, reckoned from a
// point of the ring so that far-off panels lose no digits.
func enclosed(ring []geom.Curve) float64 {
	if len(ring) == 0 {
		return 0
	}
	home := geom.Shift(-ring[0].P.X, -ring[0].P.Y)
	sum := 0.0
	for _, c := range ring {
		sum += c.Move(home).Area()
	}
	return sum
}
