package check

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
)

// InScriptOrder sorts findings by where the designer's own line stands, those
// of the named script first and those without a place last. Findings of one
// place keep the order in which they were found.
func InScriptOrder(found []*diag.Finding, script string) {
	slices.SortStableFunc(found, func(a, b *diag.Finding) int {
		s, t := a.Site.First(), b.Site.First()
		return cmp.Or(
			later(!s.Known(), !t.Known()),
			later(s.File != script, t.File != script),
			cmp.Compare(s.File, t.File),
			cmp.Compare(s.Line, t.Line),
			cmp.Compare(s.Column, t.Column),
		)
	})
}

// later orders false before true.
func later(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}
