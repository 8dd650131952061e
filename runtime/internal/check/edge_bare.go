package check

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// edgeBare warns of flaps that leave a sliver of their edge bare, as a size
// that was worked out a hair too small does.
var edgeBare = Rule{
	ID: "edge-bare", Severity: diag.Warning, Title: "a panel covers all of its edge but a hair",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			hair := f.limit(board.Hair, piece)
			var out []Found
			for _, h := range piece.Hinges {
				if h.Closing {
					continue
				}
				var bare []string
				for _, s := range overhang(h) {
					if left := -s.over; left > geom.SnapTolerance && left < hair.value {
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
