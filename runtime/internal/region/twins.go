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
	groups [][]twin     // in order of curve, the first among them; nil when all are of one
}

// twin is a curve by its number, and whether it runs against its group's first.
type twin struct {
	curve    int
	reversed bool
}

// endsKey is the same for all curves of one kind with the same two ends, and
// hardly ever for others. Ends are rounded to many times what parts twins, so
// that hardly any two fall to either side of a boundary.
func endsKey(c geom.Curve) uint64 {
	const grid = 100 * sameEnd
	at := func(p geom.Point) uint64 {
		return cell{int64(math.Floor(p.X/grid + 0.3717)), int64(math.Floor(p.Y/grid + 0.3717))}.key()
	}
	return at(c.P) + at(c.Q) + uint64(c.Kind) // whichever way it runs
}

func findTwins(curves []geom.Curve) *twins {
	first, some := firstTwins(curves)
	if !some {
		return &twins{firsts: curves}
	}
	t := &twins{}
	group := make([]int, len(curves)) // of each first
	for i, k := range first {
		if k == i {
			group[i] = len(t.groups)
			t.firsts, t.groups = append(t.firsts, curves[i]), append(t.groups, nil)
		}
		g := &t.groups[group[k]]
		*g = append(*g, twin{i, !isTwin(curves[k], curves[i])})
	}
	return t
}

// firstTwins gives for every curve the first that is the same, mostly itself;
// some reports whether any is another's twin.
func firstTwins(curves []geom.Curve) (first []int, some bool) {
	first = make([]int, len(curves))
	last := make(map[uint64]int, len(curves)) // the latest of the firsts with these ends
	before := make([]int, len(curves))        // the first before it with the same, or −1
next:
	for i, c := range curves {
		key := endsKey(c)
		latest, ok := last[key]
		if !ok {
			latest = -1
		}
		for k := latest; k >= 0; k = before[k] {
			if isTwin(curves[k], c) || isTwin(curves[k], c.Reverse()) {
				first[i], some = k, true
				continue next
			}
		}
		first[i], last[key], before[i] = i, i, latest
	}
	return first, some
}

func isTwin(a, b geom.Curve) bool { return same(a.P, b.P) && same(a.Q, b.Q) && alike(a, b) }

// spread gives all twins the uses of the first of their group.
func (t *twins) spread(a *Arrangement) {
	if t.groups == nil {
		return
	}
	for i := range a.Edges {
		uses := &a.Edges[i].Origins
		var out []Origin
		for _, u := range *uses {
			for _, w := range t.groups[u.Curve] {
				v := Origin{w.curve, u.Reversed, u.T0, u.T1}
				if w.reversed {
					v = Origin{w.curve, !u.Reversed, 1 - u.T1, 1 - u.T0}
				}
				out = append(out, v)
			}
		}
		slices.SortStableFunc(out, func(u, v Origin) int { return u.Curve - v.Curve })
		*uses = out
	}
}
