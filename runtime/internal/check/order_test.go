package check

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

func finding(rule string, at source.Span) *diag.Finding {
	return &diag.Finding{Rule: rule, Site: source.Site{at}, Severity: diag.Error}
}

// Laws: sorting keeps every finding; the result does not depend on the order
// before, but for findings of one place, which keep theirs.
func TestScriptOrder(t *testing.T) {
	want := []source.Span{
		{File: "tea.star", Line: 2, Column: 1},
		{File: "tea.star", Line: 2, Column: 9},
		{File: "tea.star", Line: 10, Column: 1},
		{File: "//closures.star", Line: 1, Column: 1},
		{File: "apart.star", Line: 1, Column: 1},
		{File: "tea.star"},
	}
	rng := rand.New(rand.NewSource(3))
	for range 50 {
		var found []*diag.Finding
		for _, i := range rng.Perm(len(want)) {
			found = append(found, finding("first", want[i]), finding("second", want[i]))
		}
		InScriptOrder(found, "tea.star")
		for i, at := range want {
			a, b := found[2*i], found[2*i+1]
			if a.Site.First() != at || b.Site.First() != at || a.Rule != "first" || b.Rule != "second" {
				t.Fatalf("place %d: %v %s, %v %s, want %v", i, a.Site, a.Rule, b.Site, b.Rule, at)
			}
		}
	}
}
