package blank

import (
	"github.com/creasewright/creasewright/runtime/internal/region"
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
		if ended(l.ctx, i) {
			return nil
		}
		out[i].Panel = p
		for _, ring := range l.rings(bounds[i]) {
			out[i].Rings = append(out[i].Rings, ring)
			out[i].Area += enclosed(ring)
		}
	}
	for i, v := range l.verdicts {
		if s := &l.sides[i]; v.kind != "" && !v.rim && s.unbroken() {
			on := &out[s[leftSide][0].index]
			on.Worked = append(on.Worked, WorkLine{v.kind, l.Pieces[i].Curve})
		}
	}
	return out
}
