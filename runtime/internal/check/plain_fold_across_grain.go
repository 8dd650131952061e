package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// toGrain is the angle in degrees between a direction in the blank and the
// grain, 0 along it and 90 across; ok is false where the board has none that
// counts: corrugated has flutes instead.
func toGrain(b *board.Board, dir geom.Point) (degrees float64, ok bool) {
	if b.Grain == nil || b.Kind == board.Corrugated {
		return 0, false
	}
	g := geom.Polar(1, geom.Degrees(*b.Grain))
	return geom.Pt(math.Abs(g.Dot(dir)), math.Abs(g.Cross(dir))).Angle().Degrees(), true
}

// acrossGrain is the angle from which a crease counts as across the grain.
const acrossGrain = 45

// plainFoldAcrossGrain warns of folds made by hand where the board would crack.
var plainFoldAcrossGrain = Rule{
	ID: "plain-fold-across-grain", Severity: diag.Warning, Title: "thick or coated board is folded by hand across the grain",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			above := f.limit(board.PlainAbove, piece)
			var out []Found
			for _, h := range piece.Hinges {
				angle, ok := toGrain(piece.Board, h.Parent.Flat.ApplyDir(h.Curve.Tangent(0.5)))
				if !ok || h.Line != model.PlainFold || angle < acrossGrain || piece.Board.Caliper <= above.value || !f.everFolds(i, h) {
					continue
				}
				out = append(out, foundf(siteOf(h), []*model.Panel{h.Child, h.Parent},
					"hinge %q is folded by hand at %s degrees to the grain of %s %s; %s",
					h.Name, degrees(angle), mm(piece.Board.Caliper), stockWord(piece.Board), mostPlain(piece.Board, above)).
					hint(`line = "score" would clear it, and so would grain that runs along the fold`).atHinge(h))
			}
			return out
		})
	},
}

// mostPlain says how thick a board may be for such a fold.
func mostPlain(b *board.Board, above held) string {
	if above.value == 0 {
		return fmt.Sprintf("no %s is folded so %s", stockWord(b), above.by)
	}
	return fmt.Sprintf("the most is %s", above)
}

// stockWord is what a kind of board is called in a sentence.
func stockWord(b *board.Board) string {
	if b.Kind == board.Coated {
		return "coated board"
	}
	return string(b.Kind)
}

// foldSlack is the angle in degrees below which a hinge lies flat.
const foldSlack = 0.01

// everFolds reports whether a hinge stands folded in some pose.
func (f *facts) everFolds(i int, h *model.Hinge) bool {
	return slices.ContainsFunc(f.Pieces[i].States, func(s *simulate.State) bool {
		a := s.Folds[f.hingeAt[h]]
		return a.OK && math.Abs(a.Degrees) > foldSlack
	})
}
