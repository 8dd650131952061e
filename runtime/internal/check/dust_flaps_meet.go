package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// dustFlapsMeet warns of flaps under a lid that reach each other. Under a lid
// that is tucked behind a wall none may meet. In cases, ends of six flaps and
// snap-lock bottoms flaps meet by design; there two that face each other at one
// height, with others over them, may not overlap unless a join says how they
// lie; nor may the outer ones in thick board, by a part of their depth only.
var dustFlapsMeet = Rule{
	ID: "dust-flaps-meet", Severity: diag.Warning, Title: "dust flaps meet or overlap",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap", "panels-collide"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			seen := map[[2]*model.Panel]bool{}
			// Every two flaps under every lid, each two once; then the flaps under no lid.
			for _, t := range s.inserts(model.TuckJoin) {
				if f.ended() {
					return nil
				}
				flaps := s.dustFlaps(&t)
				for i := range flaps {
					for k := range flaps[:i] {
						pair := [2]*model.Panel{flaps[k].panel, flaps[i].panel}
						if seen[pair] {
							continue
						}
						seen[pair] = true
						out = append(out, s.judgeFlaps(&t, &flaps[k], &flaps[i])...)
					}
				}
			}
			return append(out, s.sideFlaps(seen)...)
		})
	},
}

// sideFlaps finds flaps that face each other at one height, overlap, and have no
// step and no join to hold them apart: under a third panel by any measure, else
// where they should meet.
func (s *closing) sideFlaps(seen map[[2]*model.Panel]bool) []Found {
	var out []Found
	joined := s.joined()
	for _, j := range s.Piece.Joins {
		if j.Kind == model.GlueJoin {
			joined[j.B.Panel] = true // what is glued to a flap carries it
		}
	}
	for l := range s.Layers() {
		if s.ended() {
			return nil
		}
		a, b := s.pair(l.A, l.B)
		if l.Glued || l.Hinged || exceeds(l.Gap, s.caliper()/2) || seen[[2]*model.Panel{a, b}] || joined[a] || joined[b] || !s.sideFlap(a) || !s.sideFlap(b) {
			continue
		}
		fa, fb := s.insert(&model.Join{A: model.ToPanel(a), B: model.ToPanel(a)}), s.insert(&model.Join{A: model.ToPanel(b), B: model.ToPanel(b)})
		gap, ok := s.gapBetween(&fa, &fb)
		if !ok || !exceeds(-gap, sideOverlap) {
			continue
		}
		cure := s.flapCure(&fa, &fb, -gap)
		var f Found
		if over := s.coverOf(l.A, l.B); over != nil {
			f = s.found([]*model.Panel{b, a, over}, "side flaps %q and %q overlap by %s under %q, and nothing holds them apart", a.Name, b.Name, mm(-gap), over.Name).
				hint("%s would let them meet; or step the fold of one by a caliper, or join them", cure)
		} else if !a.Over && !b.Over && s.shouldMeet(&fa, &fb, -gap) {
			f = s.found([]*model.Panel{b, a}, "flaps %q and %q overlap by %s where they should meet: the one on top does not lie flat", a.Name, b.Name, mm(-gap)).
				hint("%s would let them meet; or join them, or overhang = True says that it is meant", cure)
		} else {
			continue
		}
		f = f.relate(a.Site, "panel %q", a.Name)
		f.Ties, f.Blames = []*model.Panel{a, b}, s.sharingCells(l.A, l.B)
		out = append(out, f)
	}
	return out
}

// sideOverlap is by how much, in mm, side flaps may overlap: no more than sizes
// are rounded by. Common practice, no source.
const sideOverlap = 1

// shouldMeet reports whether two flaps that overlap were to meet edge on edge:
// they do so by a small part of their depths, in board so thick that the step
// shows.
func (s *closing) shouldMeet(a, b *insert, by float64) bool {
	return s.caliper() >= stepCaliper && exceeds(mostRim*min(s.reach(a), s.reach(b)), by)
}

const (
	// mostRim is the share of the shallower flap's depth up to which an overlap of
	// two is a mistaken size; what is to lie over another covers more of it. Common
	// practice, no source.
	mostRim = 1.0 / 3
	// stepCaliper is the caliper, in mm, from which a flap that rests on another's
	// rim visibly does not lie flat. Common practice, no source.
	stepCaliper = 1
)

// sideFlap reports whether a panel hangs by a straight fold on a wall, square to
// it or slanting, and carries nothing.
func (s *closing) sideFlap(p *model.Panel) bool {
	return p.Hang != nil && p.Hang.Curve.Kind == geom.Line && s.Of(p.Hang.Parent).OK && !s.parallel(p, p.Hang.Parent) && !s.hung[p]
}

// sharingCells lists the panels of the cells in which two panels lie, these too:
// of those, what rides on another pushes the rest out of place.
func (s *closing) sharingCells(i, j int) []*model.Panel {
	var out []*model.Panel
	for _, stack := range s.Stacks {
		for _, c := range stack.Cells {
			if slices.Contains(c.Panels, i) && slices.Contains(c.Panels, j) {
				for _, k := range c.Panels {
					out = append(out, s.Piece.Panels[k])
				}
			}
		}
	}
	return out
}

// coverOf is a panel that lies outside two others in a cell and that another
// call made, nil for none.
func (s *closing) coverOf(i, j int) *model.Panel {
	for _, stack := range s.Stacks {
		for _, c := range stack.Cells {
			if !slices.Contains(c.Panels, i) || !slices.Contains(c.Panels, j) {
				continue
			}
			// Panels of a cell are outermost first, so those before the first of the two lie outside
			// both.
			for _, k := range c.Panels {
				if k == i || k == j {
					break
				}
				p, call := s.Piece.Panels[k], s.Piece.Panels[k].Site.First()
				if call != s.Piece.Panels[i].Site.First() && call != s.Piece.Panels[j].Site.First() {
					return p
				}
			}
		}
	}
	return nil
}

const (
	// flapLean is the sine under which a flap lies along a lid.
	flapLean = 0.05
	// underLid is how far under a lid, in mm beside three calipers, a dust flap
	// may lie: creases are stepped by one or two. Common practice, no source.
	underLid = 1
)

// dustFlaps lists the flaps under the lid that carries a tuck: what lies along
// its inside, hangs on a wall, and carries nothing itself.
func (s *closing) dustFlaps(t *insert) []insert {
	if t.into.IsThrough() || s.parallel(t.into.Panel, t.carrier()) {
		return nil
	}
	lid := s.Of(t.carrier())
	deep := 3*s.caliper() + underLid
	var out []insert
	for _, i := range s.Near(t.carrier(), deep) {
		p := s.Piece.Panels[i]
		if p == t.panel || p.Hang == nil || p.Hang.Curve.Kind != geom.Line || p.Hang.Parent == t.carrier() ||
			!s.Of(p.Hang.Parent).OK || !s.parallel(p, t.carrier()) || s.parallel(p.Hang.Parent, t.carrier()) || s.hung[p] {
			continue
		}
		// Height is outward, so what lies under the lid is below 0.
		if h := lid.Height(s.Solids[i].Frame.Apply(s.Solids[i].Loop[0].Space())); h > geom.SnapTolerance || h < -deep {
			continue
		}
		out = append(out, s.insert(&model.Join{A: model.ToPanel(p), B: model.ToPanel(t.carrier())}))
	}
	return out
}

// parallel reports whether two panels are parallel.
func (s *closing) parallel(p, q *model.Panel) bool {
	return s.Of(p).Normal.Cross(s.Of(q).Normal).Len() < flapLean
}

// judgeFlaps holds two flaps under a lid against the least gap between their tips.
func (s *closing) judgeFlaps(t, a, b *insert) []Found {
	least := s.limit(board.FlapGap)
	gap, ok := s.gapBetween(a, b)
	if !ok || gap >= least-geom.SnapTolerance {
		return nil
	}
	f := s.found([]*model.Panel{b.panel, a.panel, t.carrier()}, "dust flaps %q and %q %s",
		a.panel.Name, b.panel.Name, nearness(gap, least, t.carrier())).
		relate(a.panel.Site, "panel %q", a.panel.Name)
	f.Ties = []*model.Panel{a.panel, b.panel}
	return []Found{f.hint("%s would put it right", s.flapCure(a, b, least-gap))}
}

// nearness says how near to each other flaps end under a lid.
func nearness(gap, least float64, lid *model.Panel) string {
	switch {
	case gap < -geom.SnapTolerance:
		return fmt.Sprintf("overlap by %s under %q", mm(-gap), lid.Name)
	case gap < geom.SnapTolerance:
		return fmt.Sprintf("meet under %q", lid.Name)
	}
	return fmt.Sprintf("end %s apart under %q, and should keep %s", mm(gap), lid.Name, mm(least))
}

// flapCure says how deep two flaps may be.
func (s *closing) flapCure(a, b *insert, by float64) string {
	cut := roundUp(by / 2)
	if a.panel.Role == model.Plain || b.panel.Role == model.Plain {
		return fmt.Sprintf("taking %s mm off either at its tip", short(cut))
	}
	// Half is taken off either, so that they still meet in the middle.
	if math.Abs(a.panel.Depth-b.panel.Depth) < geom.SnapTolerance {
		return fmt.Sprintf("depth = %s for both", short(a.panel.Depth-cut))
	}
	return fmt.Sprintf("depth = %s for %q and depth = %s for %q", short(a.panel.Depth-cut), a.panel.Name, short(b.panel.Depth-cut), b.panel.Name)
}

// opposed is the cosine of the angle, 170 degrees, from which flaps face each
// other.
const opposed = -0.985

// lanes is how many lines square to their folds flaps are compared along.
const lanes = 41

// gapBetween is the least distance between the tips of two flaps that face each
// other, below 0 where they overlap; ok is false when they do not face each
// other, or pass each other by.
func (s *closing) gapBetween(a, b *insert) (gap float64, ok bool) {
	if a.in3.Dot(b.in3) > opposed {
		return 0, false
	}
	fold := a.fold.Curve.Length()
	apart := b.at3.Sub(a.at3).Dot(a.in3)
	shift := b.at3.Sub(a.at3).Dot(a.along3)
	turned := b.along3.Dot(a.along3)
	gap = math.Inf(1)
	// Lanes run square to the folds. Both reaches are added up in the first flap's direction: the
	// room between the folds less both is the gap there.
	for k := range lanes {
		x := fold * (float64(k)/(lanes-1) - 0.5)
		far, okA := s.reachAt(a, x)
		back, okB := s.reachAt(b, (x-shift)*turned)
		if okA && okB {
			gap = math.Min(gap, apart-far-back)
		}
	}
	return gap, !math.IsInf(gap, 1)
}

// reachAt is how far an insert reaches from its fold at a distance along it.
func (s *closing) reachAt(t *insert, along float64) (float64, bool) {
	cuts := contact.Along(s.boardOf(t.panel), t.at.Add(t.along.Mul(along)), t.in)
	if len(cuts) == 0 {
		return 0, false
	}
	return cuts[len(cuts)-1].To, true
}
