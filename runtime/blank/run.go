package blank

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/internal/region"
)

// step is a piece of line on the way along a path: a hinge's stretch or a
// work's path.
type step struct {
	region.Half
	curve int     // source curve
	t     float64 // grows along the path on one curve
}

// run is an unbroken part of a path, directed like the path.
type run struct {
	chain  []region.Half
	closed bool // the whole of a closed path
}

// hingePaths lists the pieces along each hinge, in order.
func (l *layout) hingePaths() [][]step {
	return l.paths(len(l.hinges), func(curve int) (int, bool) {
		return l.carried[curve].hinge, l.carried[curve].against
	})
}

// workPaths lists the pieces along each work, in order.
func (l *layout) workPaths() [][]step {
	return l.paths(len(l.works), func(curve int) (int, bool) {
		if o := l.owners[curve]; o.role == workPath {
			return o.index, false
		}
		return -1, false
	})
}

// paths lists the pieces along each of n paths; of tells which path a curve is
// part of, −1 for none, and whether it runs against it. A piece that a path
// runs along twice is there once.
func (l *layout) paths(n int, of func(curve int) (path int, against bool)) [][]step {
	out := make([][]step, n)
	for i, p := range l.Pieces {
		for _, u := range p.Uses {
			path, against := of(u.Curve)
			if path < 0 {
				continue
			}
			s := step{region.Half{Piece: i, Reversed: u.Reversed != against}, u.Curve, u.T0}
			if against {
				s.t = -u.T1
			}
			if k := len(out[path]); k == 0 || out[path][k-1].Piece != i {
				out[path] = append(out[path], s)
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

// runs are the unbroken parts of a path whose pieces are to be kept. On a
// closed path a run may lead over the path's start.
func (l *layout) runs(steps []step, closed bool, keep func(piece int) bool) []run {
	var out []run
	last := -1 // node the last kept step ended in
	for _, s := range steps {
		if !keep(s.Piece) {
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
