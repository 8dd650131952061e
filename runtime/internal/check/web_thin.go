package check

import (
	"cmp"
	"fmt"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// webThin warns of too little board between two cuts.
var webThin = Rule{
	ID: "web-thin", Severity: diag.Warning, Title: "too little board is left between two cuts",
	find: func(f *facts) []Found {
		return f.cutsFacing(board.Web, true, func(a, b linework.Spot, c *linework.Facing, least held) Found {
			return cutsFound(a, b, c, "only %s of board is left between %s; the least is %s", mm(c.Gap), bothOf(a, b), least).
				hint("%s more between them would clear it", mm(least.value-c.Gap))
		})
	},
}

// nib is how many times the limit a cut must lead round a stretch of board for
// that to be a web: less is a step or a corner.
const nib = 4

// cutsFacing finds cuts that face each other closer than a limit, once for each
// two things they belong to, with board or with nothing between them.
func (f *facts) cutsFacing(l board.Limit, onBoard bool, tell func(a, b linework.Spot, c *linework.Facing, least held) Found) []Found {
	return f.eachSound(func(i int, piece *model.Piece) []Found {
		least := f.limit(l, piece)
		var joints []blank.HingeLine
		if onBoard {
			joints = f.narrow(i, f.limit(board.Joint, piece))
		}
		var out []Found
		for _, c := range closest(f.Close[i], func(c *linework.Facing) ([2]linework.Spot, bool) {
			if !c.A.IsCut() || !c.B.IsCut() || c.Board != onBoard || !least.short(c.Gap) || c.Round < nib*least.value || near(joints, c, 2*least.value) {
				return [2]linework.Spot{}, false
			}
			a, b := f.Lines[i].Spot(c.P), f.Lines[i].Spot(c.Q)
			a.Edge, b.Edge = "", "" // a panel's edges count as one
			return [2]linework.Spot{a, b}, true
		}) {
			a, b := f.Lines[i].Spot(c.P), f.Lines[i].Spot(c.Q)
			if a.Panel == nil || b.Panel == nil {
				continue // on no line that the script drew
			}
			if before(b, a) {
				a, b = b, a
			}
			out = append(out, tell(a, b, c, least))
		}
		return out
	})
}

// before orders what was cut into a panel before the edges of panels, and then
// what was made last before the rest.
func before(a, b linework.Spot) bool {
	if isWork(a) != isWork(b) {
		return isWork(a)
	}
	if a.Panel == b.Panel && !isWork(a) {
		return a.Panel.Outline.Index(a.Edge) < b.Panel.Outline.Index(b.Edge)
	}
	p, q := a.Site().First(), b.Site().First()
	return cmp.Or(cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column), cmp.Compare(a.Panel.Index, b.Panel.Index)) > 0
}

// isWork reports whether a spot is on a window or on what is worked on a panel.
func isWork(s linework.Spot) bool { return s.Window != nil || s.Work != nil }

// bothOf names two spots for a message.
func bothOf(a, b linework.Spot) string {
	switch {
	case isWork(a) && a == b:
		return "two sides of " + a.String()
	case a.Panel == b.Panel && a.Window != nil && b.Window != nil:
		return fmt.Sprintf("two windows in %q", a.Panel.Name)
	case a.Panel == b.Panel && a.Work != nil && b.Work != nil:
		return fmt.Sprintf("two slits in %q", a.Panel.Name)
	}
	return a.String() + " and " + b.String()
}

// cutsFound is a finding about two cuts, told at the first.
func cutsFound(a, b linework.Spot, c *linework.Facing, format string, args ...any) Found {
	f := foundf(a.Site(), laterFirst([]*model.Panel{a.Panel, b.Panel}), format, args...).across(c)
	if isWork(a) && a != b || a.Panel != b.Panel {
		f = f.relate(b.Site(), "%s", b)
	}
	f.Ties = []*model.Panel{a.Panel}
	return f
}
