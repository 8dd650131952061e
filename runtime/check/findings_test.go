package check

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

func finding(rule, panel string, at source.Span) *diag.Finding {
	return &diag.Finding{Rule: rule, Panel: panel, Site: source.Site{at}, Severity: diag.Error}
}

func TestWaiversHoldForOneRuleOnOnePanel(t *testing.T) {
	lid := &model.Panel{Name: "lid"}
	waivers := []*model.Waiver{
		{Rule: "panel-narrow", Panel: lid, Reason: "on purpose"},
		{Rule: diag.RuleScript, Panel: lid, Reason: "hush"},
	}
	at := source.Span{File: "tea.star", Line: 1, Column: 1}
	found := []*diag.Finding{
		finding("panel-narrow", "lid", at),
		finding("panel-narrow", "base", at),
		finding("panel-wide", "lid", at),
		finding("panel-narrow", "", at),
		finding(diag.RuleScript, "lid", at),
	}
	kept, waived := Waive(found, waivers)
	if !slices.Equal(kept, found[1:]) {
		t.Errorf("kept %v", kept)
	}
	if len(waived) != 1 || waived[0].Finding != found[0] || waived[0].Reason != "on purpose" {
		t.Errorf("waived %v", waived)
	}
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
			found = append(found, finding("first", "", want[i]), finding("second", "", want[i]))
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

func TestUnclaimedNamesTheRoot(t *testing.T) {
	box, spare := &model.Piece{Name: "box"}, &model.Panel{Name: "spare", Site: source.Site{{File: "tea.star", Line: 4, Column: 1}}}
	flap := &model.Panel{Name: "flap", Hang: &model.Hinge{Parent: spare}}
	d := &model.Design{Panels: []*model.Panel{{Name: "base", Piece: box}, spare, flap}}
	got := Unclaimed(d)
	if len(got) != 1 || got[0].Panel != "spare" || got[0].Severity != diag.Warning || got[0].Site.First().Line != 4 {
		t.Errorf("got %v", got)
	}
}
