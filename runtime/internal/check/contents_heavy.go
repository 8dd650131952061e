package check

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// contentsHeavy says of heavy contents that nobody looked at strength: a
// warning where the script set the limit, a note where practice did.
var contentsHeavy = Rule{
	ID: "contents-heavy", Severity: diag.Warning, Title: "contents are heavy, and strength is not assessed",
	find: func(f *facts) []Found {
		var out []Found
		for _, c := range f.Design.Contents {
			if c.Mass == nil || c.Panel.Piece == nil {
				continue
			}
			b := c.Panel.Piece.Board
			most, set, _ := f.Design.Limit(board.Heavy, b)
			if most == 0 || *c.Mass <= most {
				continue
			}
			g := foundf(c.Site, []*model.Panel{c.Panel}, "%q weighs %s g, more than the %s g %s: strength, stacking and carrying are not assessed",
				c.Name, geom.Num(*c.Mass), geom.Num(most), whoseLoad(b, set != nil)).atPanel(c.Panel)
			g.Mild = set == nil
			if set != nil {
				g = g.relate(set.Site, "the limit is set here")
			}
			out = append(out, g.hint("load a sample before you rely on it"))
		}
		return out
	},
}

// whoseLoad says where a limit on mass comes from.
func whoseLoad(b *board.Board, set bool) string {
	if set {
		return "asked for"
	}
	return "usual for " + string(b.Kind)
}
