package model

import "testing"

func TestAllowAndRequire(t *testing.T) {
	b, front := newFront()
	for _, err := range []error{
		b.Allow(at(2), "join-gap", front, "glued by hand"),
		b.Require(at(3), true, "holds"),
		b.Require(at(4), false, "the bar is longer than the sleeve"),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if w := b.design.Waivers; len(w) != 1 || w[0].Rule != "join-gap" || w[0].Panel != front || w[0].Reason != "glued by hand" || w[0].Site.First().Line != 2 {
		t.Errorf("waivers %+v", w)
	}
	if f := b.design.Failed; len(f) != 1 || f[0].Message != "the bar is longer than the sleeve" || f[0].Site.First().Line != 4 {
		t.Errorf("failed %+v", f)
	}
	refuse(t, []fault{
		{"no rule", b.Allow(at(99), "", front, "why"), `allow "": the rule is empty`, ""},
		{"no panel", b.Allow(at(99), "join-gap", nil, "why"), `allow "join-gap": on is missing`, ""},
		{"no reason", b.Allow(at(99), "join-gap", front, " "), `allow "join-gap": the reason is empty`, ""},
		{"no message", b.Require(at(99), true, ""), `require: the message is empty`, ""},
	})
}

func TestBoard(t *testing.T) {
	b := NewBuilder(nil)
	made := must(b.Board(at(1), BoardSpec{Name: "grey", Caliper: 2, Kind: "greyboard"}))
	if made.Caliper != 2 || made.Kind != "greyboard" || made.GSM != nil {
		t.Errorf("board %+v", made)
	}
	refuse(t, []fault{
		{"kind", failed(b.Board(at(99), BoardSpec{Name: "a", Caliper: 1, Kind: "corugated"})),
			`board "a": kind "corugated" is not one of paper, card, coated, greyboard, corrugated`, `did you mean "corrugated"?`},
		{"caliper", failed(b.Board(at(99), BoardSpec{Name: "a"})), `board "a": caliper = 0 mm is not between 0.001 and 100000 mm`, ""},
		{"no name", failed(b.Board(at(99), BoardSpec{Caliper: 1})), `board "": the name is empty`, ""},
	})
}
