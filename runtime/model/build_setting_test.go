package model

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
)

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
