package region

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// coincidentGroups sorts curves into groups of coincident copies, run either way,
// of which only the first takes part in the arrangement. A stack of n equal
// panels so costs no more than one of them, where its edges would meet each other
// in n² pairs. Copies are recognised by tolerance, sameEnd; those that differ by
// more, up to geom.SnapTolerance, are merged as overlaps later.
type coincidentGroups struct {
	firsts []geom.Curve // the first curve of each group
	groups [][]copyOf   // in order of curve, the first among them; nil when every group has one curve
}

// copyOf is a curve by its number, and whether it runs against its group's first.
type copyOf struct {
	curve    int
	reversed bool
}

// endsKey is the same for all curves of one kind with the same two ends, and
// hardly ever for others. It is a sum over both ends, so that the direction does
// not matter. Ends are rounded to a hundred times what copies may differ by, so
// that the ends of copies hardly ever fall into two cells; where they do, the
// copies are merged as overlaps instead.
func endsKey(c geom.Curve) uint64 {
	const grid = 100 * sameEnd
	at := func(p geom.Point) uint64 {
		return cell{int64(math.Floor(p.X/grid + 0.3717)), int64(math.Floor(p.Y/grid + 0.3717))}.key()
	}
	return at(c.P) + at(c.Q) + uint64(c.Kind) // whichever way it runs
}

// groupCoincident finds the groups among the curves.
func groupCoincident(curves []geom.Curve) *coincidentGroups {
	first, some := firstCopies(curves)
	if !some {
		return &coincidentGroups{firsts: curves}
	}
	t := &coincidentGroups{}
	group := make([]int, len(curves)) // of each first
	for i, k := range first {
		if k == i {
			group[i] = len(t.groups)
			t.firsts, t.groups = append(t.firsts, curves[i]), append(t.groups, nil)
		}
		g := &t.groups[group[k]]
		*g = append(*g, copyOf{i, !sameCurve(curves[k], curves[i])})
	}
	return t
}

// firstCopies gives for every curve the first that is the same, mostly itself;
// some reports whether any is another's copy. Curves with one key form a linked
// list by last and before.
func firstCopies(curves []geom.Curve) (first []int, some bool) {
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
			if sameCurve(curves[k], c) || sameCurve(curves[k], c.Reverse()) {
				first[i], some = k, true
				continue next
			}
		}
		first[i], last[key], before[i] = i, i, latest
	}
	return first, some
}

// sameCurve reports whether two curves coincide and run the same way, by
// tolerance: sameEnd in mm for points, in radians for sweeps.
func sameCurve(a, b geom.Curve) bool { return same(a.P, b.P) && same(a.Q, b.Q) && alike(a, b) }

// spread gives every copy the origins of the first of its group: on each edge, in
// order of curve, with parameters counted from the other end for a copy that runs against it.
func (t *coincidentGroups) spread(a *Arrangement) {
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
