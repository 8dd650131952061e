package check

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// perforationWeak warns of perforations that tear by themselves.
var perforationWeak = Rule{
	ID: "perforation-weak", Severity: diag.Warning, Title: "the ties of a perforation are too weak",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			var out []Found
			for _, p := range piece.Panels {
				for _, w := range p.Works {
					if w.Kind == model.Perforation {
						out = append(out, weakTies(w, f.limit(board.Tie, piece), f.limit(board.CutToTie, piece))...)
					}
				}
			}
			return out
		})
	},
}

// weakTies judges one perforation; it tells the first fault of its numbers.
func weakTies(w *model.Work, tie, ratio held) []Found {
	tell := func(format string, args ...any) Found {
		g := foundf(w.Site, []*model.Panel{w.Panel}, format, args...)
		at := w.Panel.Flat.Apply(w.Path.Edges[0].At(0.5))
		g.At = &at
		return g
	}
	name, length := w.Panel.Name, w.Path.Length()
	switch {
	case tie.short(w.Tie):
		return []Found{tell("the perforation on %q leaves ties of %s; the least is %s", name, mm(w.Tie), tie).
			hint("tie = %s would hold", short(tie.value))}
	case w.Cut > ratio.value*w.Tie+geom.Tiny && ratio.value > 0:
		return []Found{tell("the perforation on %q cuts %s for each tie of %s; the most is %s times the tie %s", name, mm(w.Cut), mm(w.Tie), short(ratio.value), ratio.by).
			hint("cut = %s or tie = %s would hold", short(ratio.value*w.Tie), short(w.Cut/ratio.value))}
	case !w.Path.Closed && length < w.Cut+(w.Cut+w.Tie)/2:
		return []Found{tell("the perforation on %q is %s long, and no tie finds room between cuts of %s: it is cut right through", name, mm(length), mm(w.Cut)).
			hint("cut = %s would leave a tie", short((length-w.Tie)/2))}
	}
	return nil
}
