package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
)

// Run holds every rule against the facts. It gives the findings that stand and
// those that the designer waived; each cause is told once. Findings of earlier
// stages that belong to no rule are passed on.
func Run(f *Facts) (stand []*diag.Finding, waived []diag.Waived) {
	for _, early := range f.Early {
		if _, ok := RuleNamed(early.Rule); !ok {
			stand = append(stand, early)
		}
	}
	found := findAll(f)
	found, waived = waive(found, f.Design.Waivers)
	for _, g := range together(once(causes(found))) {
		stand = append(stand, &g.Finding)
	}
	return stand, waived
}

// findAll asks every rule in turn.
func findAll(f *Facts) []*Found {
	var out []*Found
	for _, r := range table {
		for _, g := range r.find(f) {
			g.finish(r)
			out = append(out, &g)
		}
	}
	return out
}
