package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// layersTangled tells of panels that lie over one another and that no order of
// the layers satisfies.
var layersTangled = Rule{
	ID: "layers-tangled", Severity: diag.Error, Title: "no order of the layers brings the panels together",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "vertex-not-flat-foldable", "flap-too-deep", "tuck-too-wide", "join-gap"},
	find: func(f *facts) []Found {
		return f.each(func(s state) []Found {
			var out []Found
			for i := range s.Stacks {
				if t := s.Stacks[i].Tangle; t != nil {
					out = append(out, tangleFound(s, t))
				}
			}
			return out
		})
	},
}

// tangleFound tells of the first demand that an order of the stack could not meet;
// both panels count as misplaced for the rules that come after.
func tangleFound(s state, t *simulate.Tangle) Found {
	// Panel is the one for which no place was left when it was placed in order of folding; another
	// order may blame another, so the hint names no size.
	panel, with := s.pair(t.Panel, t.With)
	f := foundf(panel.Site, []*model.Panel{panel, with}, "panel %q finds no place among the layers in pose %q: %s", panel.Name, s.name(), tangled(panel, with, t)).
		in(s.Pose, fmt.Sprint(t.Panel)).
		atPanel(panel).
		relate(with.Site, "panel %q", with.Name)
	f.Blames = f.Panels
	if t.Join != nil {
		f = f.relate(t.Join.Site, "the join")
	}
	return f.hint("make one of them shorter than the fold, turn a fold or the side of a join over, or let panels fold in another order: pose(%q, order = […])", s.name())
}

// tangled says which demand on a panel cannot be met.
func tangled(panel, with *model.Panel, t *simulate.Tangle) string {
	switch {
	case t.Join != nil && t.Join.A.Panel != panel && t.Join.B.Panel != panel:
		return fmt.Sprintf("it would lie between %q and %q, which are joined", t.Join.A.Panel.Name, t.Join.B.Panel.Name)
	case t.Join != nil:
		return fmt.Sprintf("it cannot be next to %q with %q on the %s of %q", with.Name, t.Join.A.Panel.Name, sideOf(t.Join), t.Join.B.Panel.Name)
	case t.Hinge != nil && t.Hinge.Parent != panel && t.Hinge.Child != panel:
		return fmt.Sprintf("it would pass through the fold between %q and %q", t.Hinge.Parent.Name, t.Hinge.Child.Name)
	case t.Hinge != nil:
		return fmt.Sprintf("%q would pass through the fold between %q and %q", with.Name, t.Hinge.Parent.Name, t.Hinge.Child.Name)
	}
	return fmt.Sprintf("where it lies against %q does not go with the other folds and joins", with.Name)
}
