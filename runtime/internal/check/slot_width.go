package check

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// slotFit warns of openings that are narrower than the board a tuck pushes
// through them, or much wider.
var slotFit = Rule{
	ID: "slot-width", Severity: diag.Warning, Title: "a slot is narrower than the board that goes through it, or much wider",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, t := range s.inserts(model.TuckJoin) {
				if t.into.Window == nil {
					continue
				}
				if p, ok := s.passage(&t); ok {
					out = append(out, s.judgeSlot(&t, p)...)
				}
			}
			return out
		})
	},
}

// slotHair is how much narrower than the board, in mm, a slot may be: what
// rounding a size to hundredths takes.
const slotHair = 0.02

// goodSlot is how much wider than the board a hint asks a slot to be, the
// middle of 0.3 to 0.5 mm for card and 0.5 to 1 mm for corrugated. Common
// practice, no source.
func goodSlot(k board.Kind) float64 {
	if k == board.Corrugated {
		return 0.75
	}
	return 0.4
}

func (s *closing) judgeSlot(t *insert, p passage) []Found {
	wide := slotAcross(t.into.Window, p)
	need := s.caliper() / p.sine
	loose := s.limit(board.SlotLoose)
	if !exceeds(need-slotHair, wide) && (loose == 0 || !exceeds(wide, need+loose)) {
		return nil
	}
	wall := t.into.Panel
	f := s.found([]*model.Panel{wall, t.panel}, "the slot in %q is %s wide, %s", wall.Name, mm(wide), s.slotWords(t, p, wide, need))
	f.Site = t.into.Window.Site
	at := wall.Flat.Apply(p.at.Add(p.dir.Mul(p.own.Mid())))
	f.At = &at
	return []Found{f.relate(t.panel.Site, "tuck %q", t.panel.Name).
		hint("a slot %s wide would put it right", mm(need+goodSlot(s.Piece.Board.Kind)))}
}

// slotWords compares a slot with what a tuck needs.
func (s *closing) slotWords(t *insert, p passage, wide, need float64) string {
	words := fmt.Sprintf("and tuck %q needs %s to pass", t.panel.Name, mm(need))
	if exceeds(wide, need) {
		words = fmt.Sprintf("%s more than tuck %q needs to pass", mm(wide-need), t.panel.Name)
	}
	if exceeds(upright, p.sine) {
		words += fmt.Sprintf(", slanting at %s degrees", degrees(geom.Asin(p.sine).Degrees()))
	}
	return words
}

// upright is the sine of the angle, 87 degrees, from which a tuck counts as
// square to the panel it passes through.
const upright = 0.9986

// slotAcross is how wide an opening is square to the line in which a tuck
// passes, where it is narrowest.
func slotAcross(w *model.Window, p passage) float64 {
	loops := [][]geom.Point{w.Outline.Flatten(contact.Flatten)}
	least := math.Inf(1)
	for _, share := range [...]float64{0.1, 0.3, 0.5, 0.7, 0.9} {
		at := p.at.Add(p.dir.Mul(p.own.From + share*p.own.Length()))
		for _, across := range contact.Along(loops, at, p.dir.Left()) {
			if across.From <= 0 && 0 <= across.To {
				least = math.Min(least, across.Length())
			}
		}
	}
	return least
}
