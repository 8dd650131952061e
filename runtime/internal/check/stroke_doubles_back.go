package check

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// strokeDoublesBack warns of strokes that turn at a point and run back beside
// themselves, too close for the tool to tell the two ways apart.
var strokeDoublesBack = Rule{
	ID: "stroke-doubles-back", Severity: diag.Warning, Title: "a stroke runs back along itself",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			finest := f.limit(board.Detail, piece)
			var out []Found
			for _, layer := range f.Blanks[i].Layers {
				if layer.Kind == blank.DrawnLine || layer.Kind == blank.PerforatedLine {
					continue
				}
				for _, s := range layer.Strokes {
					out = append(out, f.doublings(i, s, finest)...)
				}
			}
			return out
		})
	},
}

// backRun is how far a stroke runs back before it counts, mm: a sharp point is
// no doubling. Common practice, no source.
const backRun = 5

// doublings are the points at which a stroke turns back.
func (f *facts) doublings(i int, s blank.Stroke, finest held) []Found {
	var out []Found
	for k, next := range s.Curves {
		if k == 0 && !s.Closed {
			continue
		}
		last := s.Curves[(k+len(s.Curves)-1)%len(s.Curves)]
		apart, ok := turnsBack(last, next)
		if !ok || !finest.short(apart) {
			continue
		}
		spot := f.Lines[i].Spot(next.At(0.5))
		if spot.Panel == nil {
			continue
		}
		at := next.P
		g := foundf(spot.Site(), []*model.Panel{spot.Panel}, "%s turns back on itself and runs %s beside its own line for %s mm and more; the finest is %s",
			spot, mm(apart), geom.Num(backRun), finest).
			hint("%s more between the two ways would clear it", mm(finest.value-apart))
		g.At = &at
		out = append(out, g)
	}
	return out
}

// turnsBack reports whether a curve runs back beside the one before it, and
// how far the two lie apart backRun on.
func turnsBack(last, next geom.Curve) (apart float64, ok bool) {
	_, cos := geom.Degrees(15).SinCos()
	if last.Tangent(1).Dot(next.Tangent(0)) > -cos || last.Length() < backRun || next.Length() < backRun {
		return 0, false
	}
	_, apart = last.Nearest(next.At(next.ParamAt(backRun)))
	return apart, true
}
