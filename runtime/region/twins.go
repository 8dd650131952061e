package region

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// twins sorts curves into groups that are the same curve, run either way, so
// that a stack of equal panels costs no more than one of them: its edges would
// meet each other pair by pair. Only rounding may part twins, and curves that
// are not told as twins are merged later all the same.
type twins struct {
	firsts []geom.Curve // the first curve of each group
	groups [][]twin     // in order of curve, the first among them
}

// twin is a curve by its number, and whether it runs against its group's first.
type twin struct {
	curve    int
	reversed bool
}

// ends is a curve's two ends rounded, the lower first, and what sort it is.
type ends struct {
	kind   geom.Kind
	lo, hi cell
}

// endsOf rounds to many times what parts twins, so that hardly any two fall to
// either side of a boundary.
func endsOf(c geom.Curve) ends {
	const grid = 100 * sameEnd
	at := func(p geom.Point) cell {
		return cell{int64(math.Floor(p.X/grid + 0.3717)), int64(math.Floor(p.Y/grid + 0.3717))}
	}
	lo, hi := at(c.P), at(c.Q)
	if hi.x < lo.x || hi.x == lo.x && hi.y < lo.y {
		lo, hi = hi, lo
	}
	return ends{c.Kind, lo, hi}
}

func findTwins(curves []geom.Curve) *twins {
	t := &twins{firsts: make([]geom.Curve, 0, len(curves)), groups: make([][]twin, 0, len(curves))}
	last := make(map[ends]int, len(curves)) // the latest group with these ends
	var before []int                        // the group before it with the same, or −1
	all := make([]twin, len(curves))        // room for all groups of one
next:
	for i, c := range curves {
		key := endsOf(c)
		latest, ok := last[key]
		if !ok {
			latest = -1
		}
		for k := latest; k >= 0; k = before[k] {
			if along, against := isTwin(t.firsts[k], c), isTwin(t.firsts[k], c.Reverse()); along || against {
				t.groups[k] = append(t.groups[k], twin{i, !along})
				continue next
			}
		}
		last[key], before = len(t.firsts), append(before, latest)
		all[i] = twin{curve: i}
		t.firsts, t.groups = append(t.firsts, c), append(t.groups, all[i:i+1:i+1])
	}
	return t
}

func isTwin(a, b geom.Curve) bool { return same(a.P, b.P) && same(a.Q, b.Q) && alike(a, b) }

// none reports whether every curve is on its own.
func (t *twins) none() bool {
	return !slices.ContainsFunc(t.groups, func(g []twin) bool { return len(g) > 1 })
}

// spread gives all twins the uses of the first of their group.
func (t *twins) spread(a *Arrangement) {
	if t.none() {
		return
	}
	for i := range a.Pieces {
		uses := &a.Pieces[i].Uses
		var out []Use
		for _, u := range *uses {
			for _, w := range t.groups[u.Curve] {
				v := Use{w.curve, u.Reversed, u.T0, u.T1}
				if w.reversed {
					v = Use{w.curve, !u.Reversed, 1 - u.T1, 1 - u.T0}
				}
				out = append(out, v)
			}
		}
		slices.SortStableFunc(out, func(u, v Use) int { return u.Curve - v.Curve })
		*uses = out
	}
}
