package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
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
				out = append(out, overlapFound(s, o))
			}
			return out
		})
	},
}

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
			f.Cures = append(f.Cures, trims(s, [...]int{o.A, o.B}[n], o.Toward[n], o.Trims[n])...)
		}
	}
	return f
}
