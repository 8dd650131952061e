package model

import (
	"errors"
	"slices"
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
	must(b.Glue(at(6), GlueSpec{A: lid, B: front}))
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

func TestLimits(t *testing.T) {
	b, fine, coarse := NewBuilder(nil), 0.5, 1.0
	thin := must(b.Board(at(1), BoardSpec{Name: "thin", Caliper: 0.3}))
	grey := must(b.Board(at(2), BoardSpec{Name: "grey", Caliper: 2, Kind: "greyboard"}))
	for _, err := range []error{
		b.Limits(at(3), grey, map[board.Limit]float64{board.Web: 5}),
		b.Limits(at(4), nil, map[board.Limit]float64{board.Web: 2, board.Joint: 0}),
		b.Machine(at(5), board.Machine{Name: "knife", Bed: [2]float64{600, 400}, Detail: &fine}),
		b.Machine(at(6), board.Machine{Name: "sheet", Bed: [2]float64{500, 700}}),
		b.Machine(at(7), board.Machine{Name: "die", Bed: [2]float64{700, 1000}, Detail: &coarse}),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	d := &b.design
	for _, c := range []struct {
		limit board.Limit
		board *board.Board
		want  float64
		line  int // of the call that decides; 0 for a default
	}{
		{board.Web, thin, 2, 4}, {board.Web, grey, 5, 3}, // the board's own goes first, whichever came first
		{board.Joint, grey, 0, 4},
		{board.EdgeGap, thin, 3, 0},
		{board.Detail, thin, 1, 7}, // the coarsest machine
	} {
		v, set, machine := d.Limit(c.limit, c.board)
		line := 0
		if set != nil {
			line = set.Site.First().Line
		} else if machine != nil {
			line = machine.Site.First().Line
		}
		if v != c.want || line != c.line {
			t.Errorf("%s for %s is %g from line %d, want %g from %d", c.limit.Name(), c.board.Name, v, line, c.want, c.line)
		}
	}
	if err := b.Limits(at(8), nil, map[board.Limit]float64{board.Detail: 0.1}); err != nil {
		t.Fatal(err)
	}
	if v, set, _ := d.Limit(board.Detail, thin); v != 0.1 || set == nil {
		t.Errorf("the script's own detail does not go before the machine's: %g", v)
	}
	web := func(v float64) map[board.Limit]float64 { return map[board.Limit]float64{board.Web: v} }
	refuse(t, []fault{
		{"nothing", b.Limits(at(99), thin, nil), "limits: no limit is set", "name one, as in limits(web = 2)"},
		{"negative", b.Limits(at(99), thin, web(-1)), "limits: web = -1 is not between 0 and 100000", ""},
		{"twice", b.Limits(at(99), nil, web(3)), "limits: web is set already", ""},
		{"machine twice", b.Machine(at(99), board.Machine{Name: "die", Bed: [2]float64{1, 1}}), `machine "die": there is a machine of that name already`, ""},
		{"no name", b.Machine(at(99), board.Machine{Bed: [2]float64{1, 1}}), `machine "": the name is empty`, ""},
		{"no bed", b.Machine(at(99), board.Machine{Name: "laser"}), `machine "laser": bed x is 0 mm, and sizes lie between 0.001 and 100000 mm`, ""},
	})
	if len(d.Settings) != 3 || len(d.Machines) != 3 {
		t.Errorf("refused calls left their mark: %d settings, %d machines", len(d.Settings), len(d.Machines))
	}
}

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

// The title block is filled in once, by at least one text that says something; what was
// given comes back in the order of a title block.
func TestSheet(t *testing.T) {
	b, _ := newFront()
	refuse(t, []fault{
		{"nothing", b.Sheet(at(99), Sheet{}), `sheet: nothing is given for the title block`, ""},
		{"blank", b.Sheet(at(99), Sheet{Job: " "}), `sheet: job is empty`, ""},
		{"long", b.Sheet(at(99), Sheet{Date: strings.Repeat("1", MaxName+1)}), `sheet: date has 201 characters, at most 200 are allowed in a title block`, ""},
	})
	if err := b.Sheet(at(2), Sheet{DrawnBy: "R. Moss", Job: "2417"}); err != nil {
		t.Fatal(err)
	}
	refuse(t, []fault{{"twice", b.Sheet(at(99), Sheet{Job: "1"}), `sheet: the title block is filled in already`, ""}})
	if got, want := b.design.Sheet.Facts(), []SheetFact{{"job", "2417"}, {"drawn_by", "R. Moss"}}; !slices.Equal(got, want) {
		t.Errorf("facts %v", got)
	}
	if b.design.Sheet.Site.First().Line != 2 || (*Sheet)(nil).Facts() != nil {
		t.Errorf("site %v", b.design.Sheet.Site)
	}
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
