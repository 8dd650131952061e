package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
)

// requireRule tells of the designer's own rules that do not hold.
var requireRule = Rule{
	ID: "require", Severity: diag.Error, Title: "a rule of the script's own does not hold",
	find: func(f *facts) []Found {
		var out []Found
		for _, r := range f.Design.Failed {
			out = append(out, foundf(r.Site, nil, "%s", r.Message))
		}
		return out
	},
}
