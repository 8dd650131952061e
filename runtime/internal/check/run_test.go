package check

import (
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
)

// Faults of the script that the blank finds belong to no rule and are passed on
// as they are; they cannot be waived.
func TestScriptFaultsPassThrough(t *testing.T) {
	stand, waived := examineText(t, `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
base.cut(circle(10).shift(200, 200))
piece("base", base, board = card)
`)
	if len(stand) != 1 || stand[0].Rule != diag.RuleScript || len(waived) != 0 {
		t.Errorf("stand %v, waived %v", stand, waived)
	}
}

// One crossing seen in two poses is one finding;
// it names piece, panel, pose and a place in the blank, and the other panel beside it.
func TestFindingsAreComplete(t *testing.T) {
	stand, _ := examineText(t, `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
back = flap("back", on = base.top, depth = 30)
flap("right", on = base.right, depth = 32)
flap("lid", on = back.tip, depth = 40, inset = -3)
pose("again", {"right": 89})
piece("box", base, board = card)
`)
	stand = slices.DeleteFunc(stand, func(f *diag.Finding) bool { return f.Rule != "panels-collide" })
	if len(stand) != 1 {
		t.Fatalf("found %v", stand)
	}
	f := stand[0]
	if f.Piece != "box" || f.Panel != "lid" || f.Pose != "closed" || f.At == nil || f.Severity != diag.Error ||
		f.Site.First().Line != 5 || len(f.Related) != 1 || f.Related[0].Span.Line != 4 || f.Hint == "" {
		t.Errorf("found %+v", f)
	}
}

func TestRulesByName(t *testing.T) {
	for _, r := range Rules() {
		if got, ok := RuleNamed(r.ID); !ok || got != r || r.Page() == "" {
			t.Errorf("%s: %v", r.ID, got)
		}
	}
	if _, ok := RuleNamed("none-such"); ok {
		t.Error("a rule that is none")
	}
}
