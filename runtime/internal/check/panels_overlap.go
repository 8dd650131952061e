package check

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
)

// panelsOverlap tells of panels that ask for the same board. The blank finds
// them when it is laid.
var panelsOverlap = Rule{
	ID: blank.RuleOverlap, Severity: diag.Error, Title: "two panels lie on one another in the flat",
	find: early(blank.RuleOverlap),
}
