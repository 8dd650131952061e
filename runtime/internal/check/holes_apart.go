package check

import (
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// holeSlack is how far, in mm, board of a glued panel may reach into a hole of the
// other: as far as a join may stand open.
const holeSlack = 0.5

// holesApart warns of holes of glued panels that overlap only in part.
var holesApart = Rule{
	ID: "holes-apart", Severity: diag.Warning, Title: "holes of glued panels overlap only in part",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap"},
	find: func(f *facts) []Found {
		return f.each(func(p state) []Found {
			var out []Found
			for _, m := range p.HolesApart {
				if f.ended() {
					return nil
				}
				if areApart(m) {
					out = append(out, f.holesFound(p, m))
				}
			}
			return out
		})
	},
}

// areApart reports whether holes meet that are not meant to differ so: one that
// lies within the other, and one that only just touches it, are usual.
func areApart(m simulate.HolesApart) bool {
	return exceeds(m.Depth, holeSlack) && exceeds(m.Meet, holeSlack)
}

// holesFound tells of two holes that overlap in part, with the shift that brings one onto the
// other where nothing stands in its way and they match then.
func (f *facts) holesFound(p state, m simulate.HolesApart) Found {
	move, other := m.A, m.B
	free := !exceeds(m.Aligned, holeSlack)
	// The hole of the glued panel is moved, or else that of its target.
	if free && !f.movable(p, move) {
		if free = f.movable(p, other); free {
			move, other = other, move
		}
	}
	a, b := p.pair(move.Panel, other.Panel)
	how := fmt.Sprintf("their centres are %s apart", mm(move.Shift.Len()))
	if !exceeds(move.Shift.Len(), shown) {
		how = fmt.Sprintf("each reaches %s or more beyond the other", mm(m.Depth))
	}
	out := foundf(lastOf(move).Site, []*model.Panel{a, b}, "holes of the glued panels %q and %q overlap only in part: %s", a.Name, b.Name, how).
		in(p.Pose, fmt.Sprintf("%d %v %v", slices.Index(p.Piece.Joins, m.Join), m.A.Centre, m.B.Centre)).
		relate(lastOf(other).Site, "the hole in panel %q", b.Name)
	at := a.Flat.Apply(move.Centre)
	out.At = &at
	const both = "cut both layers at once with through = […]"
	if free {
		return out.hint("move the hole in %q by shift(%s, %s), or %s", a.Name, short(move.Shift.X), short(move.Shift.Y), both)
	}
	return out.hint("%s, or make one so large that the other lies within it", both)
}

// lastOf is the last window that a hole comes of.
func lastOf(h contact.Hole) *model.Window { return h.Windows[len(h.Windows)-1] }

// movable reports whether a hole can be moved by its Shift with nothing else
// changed: it is one window's, which nothing hangs in or is tucked through and
// which is no copy, and keeps the board between cuts and creases that it should.
func (f *facts) movable(p state, h contact.Hole) bool {
	w, panel := lastOf(h), p.Piece.Panels[h.Panel]
	if !h.Whole || w.Through != nil ||
		slices.ContainsFunc(p.Piece.Hinges, func(k *model.Hinge) bool { return k.On.Window == w }) ||
		slices.ContainsFunc(p.Piece.Joins, func(j *model.Join) bool { return j.B.Window == w }) {
		return false
	}
	// What a moved hole must keep to the outline and to every other cut: the larger of the limits
	// for webs and for creases, in mm.
	least := max(f.limit(board.Web, p.Piece).value, f.limit(board.EdgeGap, p.Piece).value)
	moved := w.Outline.Transform(geom.Translation(h.Shift.X, h.Shift.Y))
	if !panel.Outline.Contains(moved.Edges[0].P) || moved.Distance(panel.Outline) < least {
		return false
	}
	for _, v := range panel.Windows {
		if f.ended() {
			return false
		}
		if v != w && (moved.Distance(v.Outline) < least || v.Outline.Contains(moved.Edges[0].P)) {
			return false
		}
	}
	return !slices.ContainsFunc(panel.Works, func(v *model.Work) bool { return moved.Distance(v.Path) < least })
}
