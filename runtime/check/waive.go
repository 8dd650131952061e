package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// Waive parts the findings into those that stand and those that the designer
// allowed: a waiver holds for one rule on one panel. Faults of the script
// cannot be waived.
func Waive(found []*diag.Finding, waivers []*model.Waiver) (kept []*diag.Finding, waived []diag.Waived) {
	for _, f := range found {
		if w := waiverFor(f, waivers); w != nil {
			waived = append(waived, diag.Waived{Finding: f, Reason: w.Reason})
		} else {
			kept = append(kept, f)
		}
	}
	return kept, waived
}

func waiverFor(f *diag.Finding, waivers []*model.Waiver) *model.Waiver {
	if f.Rule == diag.RuleScript {
		return nil
	}
	for _, w := range waivers {
		if w.Rule == f.Rule && w.Panel.Name == f.Panel {
			return w
		}
	}
	return nil
}
