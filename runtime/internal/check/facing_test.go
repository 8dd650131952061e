package check

import (
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// More findings of one rule than anyone reads are summed up.
func TestVeryManyAreSummedUp(t *testing.T) {
	const n = 130
	text := fmt.Sprintf(`card = board("card", caliper = 0.4)
base = panel("base", rect(%d, 40))
for i in range(%d):
    p = panel("p%%d" %% i, rect(16, 30), on = base.top.part(20 * i, 20 * i + 16))
    p.cut(rect(10, 10).shift(2, 10))
piece("comb", base, board = card)
`, 20*n, n)
	stand, _ := examineText(t, text)
	told := 0
	for _, f := range stand {
		if f.Rule != webThin.ID {
			continue
		}
		if told++; told == mostTold && !strings.HasSuffix(f.Message, fmt.Sprintf("with it %d more of this kind", n-mostTold)) {
			t.Errorf("the last finding is %q", f.Message)
		}
	}
	if told != mostTold {
		t.Errorf("%d findings", told)
	}
}

// A limit says who sets it.
func TestHeld(t *testing.T) {
	card := &board.Board{Name: "card", Kind: board.Card, Caliper: 0.4}
	piece := &model.Piece{Name: "piece", Board: card}
	detail := 0.5
	f := &facts{Design: &model.Design{}}
	want := func(l board.Limit, text string) {
		t.Helper()
		if got := f.limit(l, piece).String(); got != text {
			t.Errorf("%s is %q, want %q", l.Name(), got, text)
		}
	}
	want(board.Web, "3.00 mm by common practice")
	want(board.Detail, "0.20 mm by common practice")
	f.Design.Machines = []*model.Machine{{Machine: &board.Machine{Name: "laser", Detail: &detail}}}
	want(board.Detail, `0.50 mm for machine "laser"`)
	f.Design.Settings = []*model.Setting{{Values: map[board.Limit]float64{board.Detail: 0.4}}}
	want(board.Detail, "0.40 mm as the script sets it")
	for v, short := range map[float64]bool{0.39: true, 0.396: false, 0.4: false, 1: false} {
		if got := f.limit(board.Detail, piece).short(v); got != short {
			t.Errorf("%g falls short of 0.4: %v", v, got)
		}
	}
}

// Of lines that face equally close those side by side are told before those that
// face at a corner, whichever are found first; closer ones before either.
func TestClosestOfEqualsIsBesides(t *testing.T) {
	const hair = geom.SnapTolerance / 2
	corner, beside, closer := linework.Facing{Gap: 1, Slant: 0.5}, linework.Facing{Gap: 1 + hair, Slant: 0.1}, linework.Facing{Gap: 0.9, Slant: 0.9}
	for _, c := range []struct {
		all  []linework.Facing
		want float64 // the gap
	}{
		{[]linework.Facing{corner, beside}, beside.Gap},
		{[]linework.Facing{beside, corner}, beside.Gap},
		{[]linework.Facing{beside, closer}, closer.Gap},
		{[]linework.Facing{closer, corner}, closer.Gap},
		{[]linework.Facing{beside, {Gap: 1, Slant: 0.1 - hair}}, beside.Gap},
	} {
		got := closest(c.all, func(*linework.Facing) (int, bool) { return 0, true })
		if len(got) != 1 || got[0].Gap != c.want {
			t.Errorf("of %+v the closest is %+v", c.all, got[0])
		}
	}
}
