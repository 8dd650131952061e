package check

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
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
			for _, slot := range s.Slots {
				out = append(out, s.slotFound(slot))
			}
			return append(out, s.flapSlots()...)
		})
	},
}

// goodSlot is how much wider than the board a hint asks a slot to be, the
// middle of 0.3 to 0.5 mm for card and 0.5 to 1 mm for corrugated. Common
// practice, no source.
func goodSlot(k board.Kind) float64 {
	if k == board.Corrugated {
		return 0.75
	}
	return 0.4
}

// judgeSlot compares the width of a slot, across the line in which a tuck passes through it, with
// what the board takes up there: a caliper over the sine of the angle between the two.
func (s *closing) judgeSlot(t *insert, p passage) []Found {
	wide := slotAcross(t.into.Window, p)
	need := s.caliper() / p.sine
	loose := s.limit(board.SlotLoose)
	if !exceeds(need-contact.SlotMargin, wide) && (loose == 0 || !exceeds(wide, need+loose)) {
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

// slotFound tells of a slot in which another panel stands without being tucked.
func (s *closing) slotFound(slot simulate.Slot) Found {
	wall, panel := s.Piece.Panels[slot.In], s.Piece.Panels[slot.Panel]
	f := s.found([]*model.Panel{wall, panel}, "the slot in %q is %s wide, and %q takes %s there", wall.Name, mm(slot.Wide), panel.Name, mm(slot.Need)).
		relate(panel.Site, "panel %q", panel.Name).
		hint("a slot %s wide would put it right", mm(slot.Need+goodSlot(s.Piece.Board.Kind)))
	f.At = &slot.AtBlank
	return f
}

// slottedCaliper is the caliper, in mm, from which flaps beside one another need
// a slot between them: thinner board gives way. Common practice, no source.
const slottedCaliper = 1.25

// flapSlots tells of flaps beside one another on two walls that have no room to
// fold past each other: the slots of a slotted case.
func (s *closing) flapSlots() []Found {
	if s.caliper() <= slottedCaliper {
		return nil
	}
	var out []Found
	for _, h := range s.Piece.Hinges {
		for _, a := range s.foldingFlaps(h.Parent) {
			for _, b := range s.foldingFlaps(h.Child) {
				if f, ok := s.flapSlot(h, a, b); ok {
					out = append(out, f)
				}
			}
		}
	}
	return out
}

// flapStep is how many calipers the folds of flaps beside one another may be
// stepped by: those of a slotted case are by one. Common practice, no source.
const flapStep = 1.25

// foldingFlaps lists the flaps of a wall that are not glued and fold by 45° or
// more.
func (s *closing) foldingFlaps(wall *model.Panel) []*model.Hinge {
	var out []*model.Hinge
	for k, h := range s.Piece.Hinges {
		turn := s.Folds[k]
		if h.Parent == wall && !h.Closing && h.Child.Role == model.FlapRole && turn.OK && turn.Degrees.Abs() >= 45 && !s.joined()[h.Child] {
			out = append(out, h)
		}
	}
	return out
}

// flapSlot measures the slot between two flaps whose folds run along one line and
// meet at the fold between their walls.
func (s *closing) flapSlot(between, a, b *model.Hinge) (Found, bool) {
	line := func(h *model.Hinge) geom.Curve { return h.Curve.Transform(h.Parent.Flat) }
	p, q, fold := line(a), line(b), line(between)
	if p.Kind != geom.Line || q.Kind != geom.Line || math.Abs(p.Tangent(0).Cross(q.Tangent(0))) > geom.SmoothSine {
		return Found{}, false
	}
	// The slot is as wide as it is along the folds, of which one may be stepped.
	apart, wide, at := math.Inf(1), 0.0, geom.Point{}
	for _, u := range [...]geom.Point{p.P, p.Q} {
		for _, v := range [...]geom.Point{q.P, q.Q} {
			if d := u.Dist(v); d < apart {
				apart, wide, at = d, math.Abs(u.Sub(v).Dot(p.Tangent(0))), u.Lerp(v, 0.5)
			}
		}
	}
	if step := math.Sqrt(max(0, apart*apart-wide*wide)); exceeds(step, flapStep*s.caliper()) {
		return Found{}, false
	}
	if near := math.Min(at.Dist(fold.P), at.Dist(fold.Q)); near > 2*s.caliper() || !exceeds(s.caliper()-contact.SlotMargin, wide) {
		return Found{}, false
	}
	f := s.found([]*model.Panel{b.Child, a.Child}, "the slot between flaps %q and %q is %s wide, and folding takes %s",
		a.Child.Name, b.Child.Name, mm(wide), mm(s.caliper())).
		relate(a.Child.Site, "flap %q", a.Child.Name).
		hint("a slot %s wide would put it right", mm(s.caliper()+goodSlot(s.Piece.Board.Kind)))
	f.Site, f.At = b.Child.Site, &at
	return f, true
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
