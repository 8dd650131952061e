package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// curvedHingeNotFolded notes, once a piece, that what lies beyond curved hinges
// is left out of the poses.
var curvedHingeNotFolded = Rule{
	ID: "curved-hinge-not-folded", Severity: diag.Note, Title: "a hinge along a curve is not folded in space",
	find: func(f *facts) []Found {
		return leftOut(f, func(l simulate.LeftOut) bool { return l.Hinge != nil }, func(first simulate.LeftOut, left []*model.Panel) Found {
			h := first.Hinge
			return foundf(siteOf(h), left, "hinge %q runs along a curve and is not folded in space; left out of the poses: %s",
				h.Name, quoted(left)).atHinge(h)
		})
	},
}

// bentPanelNotFolded notes, once a piece, that bent panels and what hangs on
// them are left out of the poses.
var bentPanelNotFolded = Rule{
	ID: "bent-panel-not-folded", Severity: diag.Note, Title: "a bent panel is not shown in space",
	find: func(f *facts) []Found {
		return leftOut(f, func(l simulate.LeftOut) bool { return l.Hinge == nil }, func(first simulate.LeftOut, left []*model.Panel) Found {
			p := first.Panel
			return foundf(p.Site, left, "panel %q is bent, not folded; left out of the poses: %s",
				p.Name, quoted(left)).atPanel(p)
		})
	},
}

// leftOut makes one finding a piece of the panels that were left out for one
// reason.
func leftOut(f *facts, why func(simulate.LeftOut) bool, tell func(simulate.LeftOut, []*model.Panel) Found) []Found {
	var out []Found
	for _, piece := range f.Pieces {
		var first *simulate.LeftOut
		var left []*model.Panel
		for _, l := range piece.LeftOut {
			if why(l) {
				if first == nil {
					first = &l
				}
				left = append(left, l.Panel)
			}
		}
		if first != nil {
			out = append(out, tell(*first, left))
		}
	}
	return out
}
