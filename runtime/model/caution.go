package model

import "slices"

// cautionKinds are what a designer can ask a caution about, in the order in which
// cautions are told.
var cautionKinds = []string{"food", "children", "medicine", "transport", "flame", "magnets", "load"}

// CautionKinds lists a copy of the kinds of caution.
func CautionKinds() []string { return slices.Clone(cautionKinds) }

// cautions asks that every kind be one there is, each once.
func (c *call) cautions(kinds []string) {
	for i, kind := range kinds {
		c.oneOf("caution", kind, cautionKinds...)
		if slices.Contains(kinds[:i], kind) {
			c.failf("caution %q is there twice", kind)
		}
	}
}
