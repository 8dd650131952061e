package check

import (
	"fmt"
	"strings"

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
				if h.Closing || h.Child.Over || !exceeds(over[0].over, most.value+shown) && !exceeds(over[1].over, most.value+shown) {
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

// overFound tells how far a panel reaches past the worse end of its edge, in mm. A panel no wider
// than the edge is slid back, any other is too wide.
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
	f.Blames = []*model.Panel{h.Child}
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

// edgeBare warns of flaps that leave a sliver of their edge bare, as a size
// that was worked out a hair too small does.
var edgeBare = Rule{
	ID: "edge-bare", Severity: diag.Warning, Title: "a panel covers all of its edge but a hair",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			hair := f.limit(board.Hair, piece)
			var out []Found
			for _, h := range piece.Hinges {
				// A closing hinge lays no panel: its edges came together by themselves.
				if h.Closing {
					continue
				}
				// What is left bare is the overhang below 0; under the limit it is too little to be
				// meant, over it a choice.
				var bare []string
				for _, s := range overhang(h) {
					if left := -s.over; left > geom.SnapTolerance && exceeds(hair.value, left) {
						bare = append(bare, fmt.Sprintf("%.3f mm at its %s end", left, s.name))
					}
				}
				if bare != nil {
					out = append(out, foundf(h.Child.Site, []*model.Panel{h.Child, h.Parent}, "panel %q leaves %s of %s bare; less than %s is taken for a slip",
						h.Child.Name, strings.Join(bare, " and "), h.On, hair).
						relate(h.Parent.Site, "the panel it hangs on").
						hint("make it as wide as the edge, %s mm, or narrower on purpose", geom.Num(h.On.Length())).atHinge(h))
				}
			}
			return out
		})
	},
}

// side is one end of the edge that a panel hangs on, as seen looking out over
// it.
type side struct {
	name string
	// over is how far the panel reaches past this end, mm; negative for how
	// much of the edge it leaves bare.
	over float64
}

// overhang measures how a panel's edge lies on the edge it was hung on. The
// two were laid mid-point on mid-point and slid to the right.
func overhang(h *model.Hinge) [2]side {
	half := (h.By.To - h.On.Length()) / 2
	return [2]side{{"left", half - h.Slide}, {"right", half + h.Slide}}
}
