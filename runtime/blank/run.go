package blank

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/region"
)

// step is a piece of line on the way along a path: a hinge's stretch or a
// work's path.
type step struct {
	region.Half
	curve int // source curve
	t     float64
}

// run is an unbroken part of a path, directed like the path.
type run struct {
	chain  []region.Half
	closed bool // the whole of a closed path
}

// paths lists the pieces along each of the n owners of a role, in order. A
// piece that a path runs along twice is there once.
func (l *layout) paths(r role, n int) [][]step {
	out := make([][]step, n)
	for i, p := range l.Pieces {
		for _, u := range p.Uses {
			o := l.owners[u.Curve]
			if o.role != r {
				continue
			}
			steps := &out[o.index]
			if k := len(*steps); k == 0 || (*steps)[k-1].Piece != i {
				*steps = append(*steps, step{region.Half{Piece: i, Reversed: u.Reversed}, u.Curve, u.T0})
			}
		}
	}
	for _, steps := range out {
		slices.SortFunc(steps, func(a, b step) int {
			return cmp.Or(cmp.Compare(a.curve, b.curve), cmp.Compare(a.t, b.t))
		})
	}
	return out
}

// runs are the unbroken parts of a path along which keep holds. On a closed
// path a run may lead over the path's start.
func (l *layout) runs(steps []step, closed bool, keep func(verdict) bool) []run {
	var out []run
	last := -1 // node the last kept step ended in
	for _, s := range steps {
		if !keep(l.verdicts[s.Piece]) {
			continue
		}
		from, to := l.Ends(s.Half)
		if from != last {
			out = append(out, run{})
		}
		r := &out[len(out)-1]
		r.chain = append(r.chain, s.Half)
		last = to
	}
	if closed && len(out) > 0 {
		if from, _ := l.Ends(out[0].chain[0]); from == last {
			out = wrap(out)
		}
	}
	return out
}

// wrap joins the last run to the first, which starts where it ends.
func wrap(runs []run) []run {
	last := len(runs) - 1
	if last == 0 {
		runs[0].closed = true
		return runs
	}
	runs[0].chain = append(runs[last].chain, runs[0].chain...)
	return runs[:last]
}
