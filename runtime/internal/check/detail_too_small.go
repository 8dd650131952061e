package check

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// detailTooSmall warns of openings that no tool makes so fine.
var detailTooSmall = Rule{
	ID: "detail-too-small", Severity: diag.Warning, Title: "an opening or a cut is finer than the tool",
	find: func(f *facts) []Found {
		gaps := f.cutsFacing(board.Detail, false, func(a, b linework.Spot, c *linework.Facing, least held) Found {
			what := "the gap between " + bothOf(a, b)
			if isWork(a) && a == b {
				what = a.String()
			}
			return cutsFound(a, b, c, "%s is %s wide; the finest is %s", what, mm(c.Gap), least).
				hint("%s wider would clear it", mm(least.value-c.Gap))
		})
		return append(gaps, f.eachSound(f.smallStrokes)...)
	},
}

// smallStrokes are windows smaller than the tool whichever way, and slits
// shorter.
func (f *facts) smallStrokes(i int, piece *model.Piece) []Found {
	least := f.limit(board.Detail, piece)
	var out []Found
	for _, layer := range f.Blanks[i].Layers {
		if layer.Kind != blank.CutLine {
			continue
		}
		for _, s := range layer.Strokes {
			size, word := smallest(s)
			if !least.short(size) {
				continue
			}
			at := s.Curves[0].At(0.5)
			if spot := f.Lines[i].Spot(at); spot.Panel != nil {
				g := foundf(spot.Site(), []*model.Panel{spot.Panel}, "%s is %s %s; the finest is %s", spot, mm(size), word, least)
				g.At = &at
				out = append(out, g.hint("%s more would clear it", mm(least.value-size)))
			}
		}
	}
	return out
}

// smallest is how wide a closed stroke is over all, the larger of its extents,
// or how long an open one.
func smallest(s blank.Stroke) (size float64, word string) {
	if !s.Closed {
		return s.Length(), "long"
	}
	b := geom.EmptyBox()
	for _, c := range s.Curves {
		b = b.Union(c.Bounds())
	}
	return max(b.Width(), b.Height()), "across"
}
