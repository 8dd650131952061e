package check

import (
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// partFallsOut warns of board that slits cut out all round although there is
// something on it that was meant to stay. Plain board that falls out is waste.
var partFallsOut = Rule{
	ID: "part-falls-out", Severity: diag.Warning, Title: "a part falls out with something on it that was meant to stay",
	after: []string{"panel-cut-in-two"},
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			hold := f.limit(board.Web, piece)
			var out []Found
			for k, part := range f.parts(i) {
				if k == 0 || !part.Inner {
					continue
				}
				if on := carried(part); on != "" {
					spot := f.culprit(i, part.Ring, true)
					g := foundf(spot.Site(), laterFirst(part.Panels), "%s closes a cut round %.2f mm² of board, which falls out with %s on it",
						spot, part.Area, on).
						hint("%s left uncut would hold it", mm(hold.value))
					at := part.Ring[0].At(0.5)
					g.At = &at
					out = append(out, g)
				}
			}
			return out
		})
	},
}

// carried names what was worked on a part, "" for plain board.
func carried(part linework.Part) string {
	var on []string
	if len(part.Hinges) > 0 {
		on = append(on, "hinge "+quotedHinges(part.Hinges))
	}
	if n := len(part.Scores); n > 0 {
		on = append(on, counted(n, "score"))
	}
	return strings.Join(slices.Compact(on), " and ")
}
