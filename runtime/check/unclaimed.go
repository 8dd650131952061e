package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// RuleUnclaimed is the rule id of panels that belong to no piece.
const RuleUnclaimed = "panel-unclaimed"

// Unclaimed warns of panels that were drawn and will not be made, one finding
// a tree.
func Unclaimed(d *model.Design) []*diag.Finding {
	var out []*diag.Finding
	for _, p := range d.Unclaimed() {
		out = append(out, (&diag.Finding{
			Rule: RuleUnclaimed, Severity: diag.Warning, Panel: p.Name, Site: p.Site,
			Message: fmt.Sprintf("panel %q and what hangs on it belong to no piece and will not be made", p.Name),
		}).WithHint("add piece(…) with this panel as its root, or take the panel out"))
	}
	return out
}
