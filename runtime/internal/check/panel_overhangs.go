package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// panelOverhangs warns of panels that reach past the edge they hang on and do
// not say that they are meant to.
var panelOverhangs = Rule{
	ID: "panel-overhangs", Severity: diag.Warning, Title: "a panel is wider than the edge it hangs on",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			most := f.limit(board.Overhang, piece)
			var out []Found
			for _, h := range piece.Hinges {
				over := overhang(h)
				if h.Closing || h.Child.Over || over[0].over <= most.value+shown && over[1].over <= most.value+shown {
					continue
				}
				if !joinedTwice(piece, h.Child) {
					out = append(out, overFound(h, over, most))
				}
			}
			return out
		})
	},
}

func overFound(h *model.Hinge, over [2]side, most held) Found {
	worst := over[0]
	if over[1].over > worst.over+geom.SnapTolerance {
		worst = over[1]
	}
	where := fmt.Sprintf("the %s end", worst.name)
	if gap := over[0].over - over[1].over; gap < geom.SnapTolerance && -gap < geom.SnapTolerance {
		where = "either end"
	}
	f := foundf(h.Child.Site, []*model.Panel{h.Child, h.Parent}, "panel %q: edge %q is %s and reaches %s past %s of the hinge edge %s, %s; the most is %s",
		h.Child.Name, h.By.Name, mm(h.By.To), mm(worst.over), where, h.On, mm(h.On.Length()), most).
		relate(h.Parent.Site, "the panel it hangs on").
		atHinge(h)
	if h.By.To > h.On.Length()+geom.SnapTolerance {
		return f.hint("%s mm would be as wide as the edge; overhang = True says that more is meant", short(h.On.Length()))
	}
	return f.hint("slide = %s would keep it on the edge; overhang = True says that more is meant", short(kept(h)))
}

// kept is the slide nearest to the one asked for that keeps a panel on its
// edge.
func kept(h *model.Hinge) float64 {
	room := (h.On.Length() - h.By.To) / 2
	return max(-room, min(room, h.Slide))
}

// joinedTwice reports whether another hinge joins the panel: what reaches past
// its first edge may hang there.
func joinedTwice(piece *model.Piece, p *model.Panel) bool {
	for _, h := range piece.Hinges {
		if h.Closing && (h.Parent == p || h.Child == p) {
			return true
		}
	}
	return false
}
