package model

import (
	"errors"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
)

var card = &board.Board{Name: "card", Kind: board.Card, Caliper: 0.3}

// Two trees, two pieces: each gets its own panels, hinges and joins, those
// made after the claim too.
func TestPieces(t *testing.T) {
	b, front := newFront()
	other := must(b.Panel(at(2), PanelSpec{Name: "other", Outline: rect(60, 40)}))
	one := must(b.Piece(at(3), PieceSpec{Name: "one", Root: front, Board: card, Copies: 2, View: "inside"}))
	lid := hung(b, "lid", rect(60, 40), edge(b, front, "top"))
	hung(b, "wing", rect(60, 40), edge(b, other, "top"))
	must(b.Glue(at(6), lid, front))
	spare := must(b.Panel(at(7), PanelSpec{Name: "spare", Outline: rect(60, 40)}))
	hung(b, "spare wing", rect(60, 40), edge(b, spare, "top"))
	two := must(b.Piece(at(8), PieceSpec{Name: "two", Root: other, Board: card, Copies: 1, View: "outside"}))
	d, err := b.Finish()
	if err != nil {
		t.Fatal(err)
	}
	if len(one.Panels) != 2 || one.Panels[1] != lid || lid.Piece != one || len(one.Hinges) != 1 || len(one.Joins) != 1 || !one.Inside || one.Copies != 2 {
		t.Errorf("one %+v", one)
	}
	if len(two.Panels) != 2 || len(two.Hinges) != 1 || len(two.Joins) != 0 || two.Inside {
		t.Errorf("two %+v", two)
	}
	if u := d.Unclaimed(); len(u) != 1 || u[0] != spare {
		t.Errorf("unclaimed %v, want the root of the spare tree only", u)
	}
}

func TestPieceNames(t *testing.T) {
	for _, name := range []string{"a", "Tea carton", "tea_carton-2.1", "æske", "..a", "a..b", "茶", strings.Repeat("x", 60)} {
		b, front := newFront()
		_, err := b.Piece(nil, PieceSpec{Name: name, Root: front, Board: card, Copies: 1})
		if begins := strings.HasPrefix(name, "."); (err != nil) != begins {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func TestPieceRefuses(t *testing.T) {
	b, front := newFront()
	lid := hung(b, "lid", rect(60, 40), edge(b, front, "top"))
	fresh := must(b.Panel(at(3), PanelSpec{Name: "fresh", Outline: rect(60, 40)}))
	must(b.Piece(at(4), PieceSpec{Name: "Straße K", Root: front, Board: card, Copies: 1}))
	piece := func(change func(*PieceSpec)) error {
		s := PieceSpec{Name: "p", Root: fresh, Board: card, Copies: 1}
		change(&s)
		return failed(b.Piece(at(99), s))
	}
	named := func(name string) error { return piece(func(s *PieceSpec) { s.Name = name }) }
	refuse(t, []fault{
		{"no name", named(""), `piece "": the name is empty`, ""},
		{"long name", named(strings.Repeat("x", 61)), `piece: a name of 61 characters is too long for file names, at most 60 are allowed`, ""},
		{"a slash", named("a/b"), `piece "a/b": the name holds '/', which file names may not`, "use letters, digits, space and _ - ."},
		{"a line break", named("a\nb"), `piece "a\nb": the name holds '\n', which file names may not`, ""},
		{"bad text", named("a\xff"), `piece "a\xff": the name holds '�', which file names may not`, ""},
		{"a device", named("Aux"), `piece "Aux": Windows keeps that name for a device`, "add a word to it"},
		{"a device before a dot", named("com1.box"), `piece "com1.box": Windows keeps that name for a device`, ""},
		{"dots", named(".."), `piece "..": the name is nothing but dots`, ""},
		{"hidden", named(".a"), `piece ".a": the name begins with a dot or a space`, ""},
		{"leading space", named(" a"), `piece " a": the name begins with a dot or a space`, ""},
		{"trailing dot", named("a."), `piece "a.": the name ends with a dot or a space`, ""},
		{"trailing space", named("a "), `piece "a ": the name ends with a dot or a space`, ""},
		// The Kelvin sign K folds to k.
		{"same but for case", named("STRAßE \u212a"), "piece \"STRAßE \u212a\": piece \"Straße K\" would have the same file names", ""},
		{"no root", piece(func(s *PieceSpec) { s.Root = nil }), `piece "p": root is missing`, ""},
		{"no root of a tree", piece(func(s *PieceSpec) { s.Root = lid }),
			`piece "p": panel "lid" hangs on front.top, and a piece begins with a panel that hangs on nothing`, `its tree begins with panel "front"`},
		{"claimed", piece(func(s *PieceSpec) { s.Root = front }), `piece "p": panel "front" belongs to piece "Straße K" already`, ""},
		{"no board", piece(func(s *PieceSpec) { s.Board = nil }), `piece "p": it has no board`, "make one with board(…) and pass it as board = …"},
		{"no copies", piece(func(s *PieceSpec) { s.Copies = 0 }), `piece "p": copies = 0 is not between 1 and 1000000`, ""},
		{"view", piece(func(s *PieceSpec) { s.View = "insid" }), `piece "p": view = "insid" is not one of outside, inside`, `did you mean "inside"?`},
	})
}

func TestNoPiece(t *testing.T) {
	b, _ := newFront()
	_, err := b.Finish()
	var f *diag.Finding
	if !errors.As(err, &f) || f.Message != "the script makes no piece" || f.Hint == "" || f.Rule != diag.RuleScript || f.Cause != diag.MakesNothing {
		t.Errorf("got %+v", f)
	}
}
