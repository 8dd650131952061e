package check

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// Waivers gives a script error for every allow() that names no rule.
func Waivers(d *model.Design) []*diag.Finding {
	var out []*diag.Finding
	for _, w := range d.Waivers {
		if _, ok := RuleNamed(w.Rule); ok {
			continue
		}
		f := diag.Scriptf(w.Site, "allow: there is no rule %q", w.Rule)
		if near, ok := model.Nearest(w.Rule, ids()); ok {
			f.WithHint("did you mean %q?", near)
		}
		out = append(out, f)
	}
	return out
}

// waive parts the findings into those that stand and those that the designer
// allowed: a waiver holds for one rule on one panel, in every pose.
func waive(found []*Found, waivers []*model.Waiver) (stand []*Found, waived []diag.Waived) {
	var allowed []*Found
	reason := map[*Found]string{}
	for _, f := range found {
		if w := f.waiver(waivers); w != nil {
			allowed, reason[f] = append(allowed, f), w.Reason
		} else {
			stand = append(stand, f)
		}
	}
	for _, f := range once(allowed) {
		waived = append(waived, diag.Waived{Finding: &f.Finding, Reason: reason[f]})
	}
	return stand, waived
}

// waiver is the first that holds for the finding, or nil.
func (f *Found) waiver(waivers []*model.Waiver) *model.Waiver {
	for _, w := range waivers {
		if w.Rule == f.Rule && slices.Contains(f.Panels, w.Panel) {
			return w
		}
	}
	return nil
}
