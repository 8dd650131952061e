package check

import (
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// panelUnclaimed warns of panels that were drawn and will not be made, once a
// tree.
var panelUnclaimed = Rule{
	ID: "panel-unclaimed", Severity: diag.Warning, Title: "a panel belongs to no piece",
	find: func(f *facts) []Found {
		var out []Found
		for _, p := range f.Design.Unclaimed() {
			out = append(out, foundf(p.Site, []*model.Panel{p},
				"panel %q and what hangs on it belong to no piece and will not be made", p.Name).
				hint("add piece(…) with this panel as its root, or take the panel out"))
		}
		return out
	},
}
