package board

import (
	"math"
	"regexp"
	"testing"
)

// Every limit can be written in a script, says what it is and where its
// default comes from, and has one for every kind of board.
func TestLimitsAreWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, l := range Limits() {
		if !regexp.MustCompile(`^[a-z]+(_[a-z]+)*$`).MatchString(l.Name()) || seen[l.Name()] {
			t.Errorf("%q is no name, or there twice", l.Name())
		}
		seen[l.Name()] = true
		if source, _ := l.Source(); l.Unit() == "" || l.Doc() == "" || l.Says() == "" || source == "" {
			t.Errorf("%s: an entry is empty", l.Name())
		}
		for _, k := range Kinds() {
			for _, c := range []float64{0.05, 0.4, 2, 8} {
				if v := l.Default(&Board{Kind: k, Caliper: c}); !(v >= 0 && v <= 5000) {
					t.Errorf("%s is %g for %g mm of %s", l.Name(), v, c, k)
				}
			}
		}
	}
}

// A channel is 1.5 calipers and the rule wide: 0.40 mm board and a 2 pt rule
// give 1.31 mm (worked from a matrix supplier's rule, en.haoyucn.net).
func TestChannelWidth(t *testing.T) {
	for c, want := range map[float64]float64{0.4: 1.31, 0.5: 1.46, 0.6: 1.96} {
		if got := (&Board{Kind: Card, Caliper: c}).ChannelWidth(); math.Abs(got-want) > 0.006 {
			t.Errorf("caliper %g: %g, want %g", c, got, want)
		}
	}
}

// Defaults worked by hand; common practice, no source.
func TestDefaults(t *testing.T) {
	card := &Board{Kind: Card, Caliper: 0.4}
	paper := &Board{Kind: Paper, Caliper: 0.1}
	fluted := &Board{Kind: Corrugated, Caliper: 3}
	for _, c := range []struct {
		limit Limit
		board *Board
		want  float64
	}{
		{CreaseGap, card, 1.5*0.4 + 2*25.4/72 + 0.8},
		{CreaseGap, fluted, 6},
		{EdgeGap, card, 3}, {EdgeGap, paper, 1}, {EdgeGap, fluted, 4.5},
		{Web, card, 3}, {Web, paper, 1}, {Web, fluted, 4.5},
		{Joint, card, 3},
		{Overhang, card, 1.2}, {Overhang, paper, 0.5}, {Overhang, fluted, 9},
		{PlainAbove, card, 0.3}, {PlainAbove, &Board{Kind: Coated, Caliper: 0.2}, 0},
		{Tie, card, 0.3}, {Tie, fluted, 1},
		{GlueTab, card, 12}, {GlueTab, paper, 5}, {GlueTab, fluted, 30},
		{SeamRelief, card, 0.3}, {SeamRelief, paper, 0},
		{TuckLoose, card, 7.6}, {TuckLoose, fluted, 18},
		{SlotLoose, card, 3}, {SlotLoose, fluted, 5},
		{Heavy, card, 500}, {Heavy, paper, 50}, {Heavy, fluted, 5000},
	} {
		if got := c.limit.Default(c.board); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s for %+v is %g, want %g", c.limit.Name(), c.board, got, c.want)
		}
	}
}
