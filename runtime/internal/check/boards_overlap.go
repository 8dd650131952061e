package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// overlapError is how much board, in mm, two panels share before they cannot be
// brought together at all (the contract's).
const overlapError = 1.5

// boardsOverlap tells of panels that want the same place, since board has a
// thickness.
var boardsOverlap = Rule{
	ID: "boards-overlap", Severity: diag.Error, Title: "two boards want the same place",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap", "panels-collide", "lid-too-large"},
	find: func(f *facts) []Found {
		return f.each(func(s state) []Found {
			var out []Found
			for _, o := range s.Overlaps {
				if edgeOnEdge(s, o) {
					continue
				}
				out = append(out, overlapFound(s, o))
			}
			return out
		})
	},
}

// edgeOnEdge reports whether a tab that joins two panels edge on edge, as a fold
// would, explains what they share: at such a corner both boards are eased, as two
// are along a crease. Plates that end at one line share up to half a caliper at a
// square corner and h(1 + |cos φ|) at any, with h half a caliper and φ the angle
// between the panels: a caliper at the most, and nothing beyond the edges' ends.
func edgeOnEdge(s state, o simulate.Overlap) bool {
	a, b := s.pair(o.A, o.B)
	t := s.Piece.Board.Caliper
	if exceeds(o.Depth, t) {
		return false
	}
	// Within a caliper of the edge, its ends included.
	beside := func(p *model.Panel, c geom.Curve) bool {
		at := s.Placement(p)
		return contact.Segment{P: at.Apply(c.P.Space()), Q: at.Apply(c.Q.Space())}.Distance(o.At) <= t
	}
	for _, j := range s.Piece.Joins {
		if j.Kind != model.TabJoin || j.B.Edge == nil || j.A.Panel.Hang == nil {
			continue
		}
		from, to := j.A.Panel.Hang.Parent, j.B.Panel
		if (from == a && to == b || from == b && to == a) && beside(from, j.A.Panel.Hang.On.Curve()) && beside(to, j.B.Edge.Curve()) {
			return true
		}
	}
	return false
}

// overlapFound tells at the panel made later. A cure takes either back to where the other begins;
// there is none for a panel that runs on to both sides.
func overlapFound(s state, o simulate.Overlap) Found {
	a, b := s.pair(o.A, o.B)
	f := foundf(b.Site, []*model.Panel{b, a}, "panels %q and %q share %s of board in pose %q, at x %s, y %s of the blank",
		b.Name, a.Name, mm(o.Depth), s.name(), short(o.AtBlank.X), short(o.AtBlank.Y)).
		in(s.Pose, fmt.Sprint(o.A, " ", o.B)).
		relate(a.Site, "panel %q", a.Name)
	f.At, f.Weight = &o.AtBlank, o.Depth
	f.Blames = f.Panels
	f.Warn = exceeds(overlapError, o.Depth)
	for _, n := range [...]int{1, 0} {
		if o.Trims[n] > 0 {
			f.Cures = append(f.Cures, trims(s, [...]int{o.A, o.B}[n], o.Toward[n], o.Trims[n], o.At)...)
		}
	}
	return f
}
