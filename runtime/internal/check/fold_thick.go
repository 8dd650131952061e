package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// foldThick warns of thick board folded past a right angle on one crease. A
// pose other than the closed one may fold it flat: so it is shipped.
var foldThick = Rule{
	ID: "fold-thick", Severity: diag.Warning, Title: "thick board is folded past 90 degrees on a single crease",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			above := f.limit(board.ThickAbove, piece)
			if piece.Board.Caliper <= above.value {
				return nil
			}
			double := f.doubleCreases(i)
			var out []Found
			for _, pose := range f.Pieces[i].States {
				for k, a := range pose.Folds {
					h, size := piece.Hinges[k], math.Abs(a.Degrees)
					if !a.OK || size <= 90+foldSlack || !pose.Closed() && size > 180-foldSlack ||
						h.Line == model.PartCut || slices.Contains(double, h) {
						continue
					}
					out = append(out, foundf(siteOf(h), []*model.Panel{h.Child, h.Parent},
						"hinge %q folds board of %s by %s degrees in pose %q on a single crease; the most for that is %s",
						h.Name, mm(piece.Board.Caliper), degrees(size), pose.Pose.Name, above).
						in(pose.Pose, h.Name).atHinge(h).
						hint("two creases at most %s apart, each with a part of the fold, or line = \"part-cut\" would do it",
							mm(f.limit(board.CreaseGap, piece).value)))
				}
			}
			return out
		})
	},
}

// doubleCreases are the hinges that another crease near by helps to fold.
func (f *facts) doubleCreases(i int) []*model.Hinge {
	var out []*model.Hinge
	for k := range f.Close[i] {
		if c := &f.Close[i][k]; !c.A.IsCut() && !c.B.IsCut() && doubled(c) {
			out = append(out, c.A.Hinge, c.B.Hinge)
		}
	}
	return out
}
