package blank

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// layers joins the classified pieces into strokes, kind by kind.
func (l *layout) layers() []Layer {
	byKind := map[Kind][]int{}
	var rim []region.HalfEdge
	for i, v := range l.classes {
		switch {
		case v.rim:
			// Board on the left: outer contours run counter-clockwise.
			rim = append(rim, region.HalfEdge{Edge: i, Reversed: l.sides[i].empty(leftSide)})
		case v.kind != "":
			byKind[v.kind] = append(byKind[v.kind], i)
		}
	}
	var out []Layer
	for _, k := range kinds {
		layer := Layer{Kind: k}
		switch k {
		case CutLine:
			layer.Strokes = append(l.contours(rim), l.joined(byKind[k])...)
		case PerforatedLine:
			layer.Strokes = l.perforations()
		default:
			layer.Strokes = l.joined(byKind[k])
		}
		if len(layer.Strokes) > 0 {
			out = append(out, layer)
		}
	}
	return out
}

// contours are the boundaries of the board, each a closed stroke: outer ones
// first, then those round windows, either in order of the panels.
func (l *layout) contours(rim []region.HalfEdge) []Stroke {
	var outer, holes []Stroke
	for i, ring := range l.rings(rim) {
		if ended(l.ctx, i) {
			break
		}
		s := Stroke{Curves: ring, Closed: true}
		if signedArea(ring) > 0 {
			outer = append(outer, s)
		} else {
			holes = append(holes, s)
		}
	}
	return append(outer, holes...)
}

// joined are the fewest strokes over the pieces.
func (l *layout) joined(pieces []int) []Stroke {
	var out []Stroke
	for i, c := range eulerTrails(&l.Arrangement, pieces) {
		if ended(l.ctx, i) {
			break
		}
		if c.closed {
			c.halves = l.startAtVertex(c.halves)
		}
		out = append(out, Stroke{Curves: l.join(c.halves), Closed: c.closed})
	}
	return out
}

// perforations are the cuts of all perforated lines, hinges first.
func (l *layout) perforations() []Stroke {
	if !slices.ContainsFunc(l.classes, func(v class) bool { return v.kind == PerforatedLine }) {
		return nil
	}
	var out []Stroke
	along := func(o owner, steps []step, closed bool, p Perforation) {
		keep := func(piece int) bool {
			v := l.classes[piece]
			return v.kind == PerforatedLine && v.by == o
		}
		for _, r := range l.runs(steps, closed, keep) {
			out = append(out, p.perforate(l.join(r.chain), r.closed)...)
		}
	}
	for i, steps := range l.hingeSteps {
		if ended(l.ctx, i) {
			break
		}
		along(owner{hingeStretch, i}, steps, false, HingePerforation())
	}
	for i, steps := range l.workPaths() {
		if ended(l.ctx, i) {
			break
		}
		along(owner{workPath, i}, steps, l.works[i].Path.Closed, perforationOf(l.works[i]))
	}
	return out
}

// step is a piece of line on the way along a path: a hinge's stretch or a
// work's path.
type step struct {
	region.HalfEdge
	curve int     // source curve
	t     float64 // grows along the path on one curve
}

// run is an unbroken part of a path, directed like the path.
type run struct {
	chain  []region.HalfEdge
	closed bool // the whole of a closed path
}

// hingePaths lists the pieces along each hinge, in order.
func (l *layout) hingePaths() [][]step {
	return l.paths(len(l.hinges), func(curve int) (int, bool) {
		return l.curveHinges[curve].hinge, l.curveHinges[curve].against
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
	for i, p := range l.Edges {
		if ended(l.ctx, i) {
			break
		}
		for _, u := range p.Origins {
			path, against := of(u.Curve)
			if path < 0 {
				continue
			}
			s := step{region.HalfEdge{Edge: i, Reversed: u.Reversed != against}, u.Curve, u.T0}
			if against {
				s.t = -u.T1
			}
			if k := len(out[path]); k == 0 || out[path][k-1].Edge != i {
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
		if !keep(s.Edge) {
			continue
		}
		from, to := l.Ends(s.HalfEdge)
		if from != last {
			out = append(out, run{})
		}
		r := &out[len(out)-1]
		r.chain = append(r.chain, s.HalfEdge)
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

// Perforation is how a line is perforated, lengths in mm.
type Perforation struct {
	Cut, Tie float64
	holds    bool // keeps a tie however short the run: the board hangs by it
}

// HingePerforation is how a perforated hinge is made: as a perforation in a script is
// unless it says otherwise.
func HingePerforation() Perforation { return Perforation{Cut: 3, Tie: 1, holds: true} }

// perforationOf is how a perforation was asked for.
func perforationOf(w *model.Work) Perforation { return Perforation{Cut: w.Cut, Tie: w.Tie} }

// fit gives the number of cuts for a run and their length: as many as find room at
// the length asked for. An open run begins and ends with a cut, a closed one has as
// many ties as cuts; ties keep their length and cuts stretch alike. They are shorter
// only on a run that holds the board and has no room for two. One cut as long as the
// run: no tie found room.
func (p Perforation) fit(run float64, closed bool) (cuts, length float64) {
	period := p.Cut + p.Tie
	if closed {
		if cuts = math.Floor((run + geom.Tiny) / period); cuts < 1 {
			return 1, run
		}
		return cuts, run/cuts - p.Tie
	}
	cuts = 1 + math.Max(0, math.Floor((run-p.Cut+geom.Tiny)/period))
	if p.holds && run > 2*p.Tie {
		cuts = math.Max(2, cuts)
	}
	return cuts, (run - (cuts-1)*p.Tie) / cuts
}

// Ties is how much board, in mm, the ties leave of a run; 0 where it is cut right
// through.
func (p Perforation) Ties(run float64, closed bool) float64 {
	cuts, length := p.fit(run, closed)
	return max(0, run-cuts*length)
}

// LengthFor is the shortest open run, in mm, whose ties leave as much board as asked
// for.
func (p Perforation) LengthFor(ties float64) float64 {
	return p.Cut + math.Ceil(ties/p.Tie-geom.Tiny)*(p.Cut+p.Tie)
}

// perforate gives the cuts of a perforated run, each a stroke that may bend
// round corners. On a closed run the first cut starts where the run does.
func (p Perforation) perforate(run []geom.Curve, closed bool) []Stroke {
	total := Stroke{Curves: run}.Length()
	cuts, length := p.fit(total, closed)
	if cuts == 1 && length == total {
		return []Stroke{{Curves: run, Closed: closed}}
	}
	strokes := make([]Stroke, 0, int(cuts))
	for i := 0.0; i < cuts; i++ {
		from := i * (length + p.Tie)
		to := from + length
		if i == cuts-1 && !closed {
			to = math.Inf(1) // the run's very end, free of rounding
		}
		strokes = append(strokes, Stroke{Curves: between(run, from, to)})
	}
	return strokes
}

// between is the part of a chain of curves from one length along it to
// another.
func between(chain []geom.Curve, from, to float64) []geom.Curve {
	var out []geom.Curve
	for _, c := range chain {
		length := c.Length()
		a, b := math.Max(from, 0), math.Min(to, length)
		// Shorter than rounding means the cut ended at the corner before.
		if b-a > geom.Tiny {
			out = append(out, c.Part(c.ParamAt(a), c.ParamAt(b)))
		}
		from, to = from-length, to-length
	}
	return out
}
