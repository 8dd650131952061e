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
		s := Stroke{Curves: ring, Closed: true, Rim: true}
		if signedArea(ring) > 0 {
			outer = append(outer, s)
		} else {
			holes = append(holes, s)
		}
	}
	return append(outer, holes...)
}

// joined are the fewest strokes over the edges.
func (l *layout) joined(edges []int) []Stroke {
	var out []Stroke
	for i, c := range eulerTrails(&l.Arrangement, edges) {
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
	along := func(o owner, path []pathEdge, closed bool, p Perforation) {
		keep := func(edge int) bool {
			v := l.classes[edge]
			return v.kind == PerforatedLine && v.by == o
		}
		for _, part := range l.trailsAlong(path, closed, keep) {
			out = append(out, p.perforate(l.join(part.halves), part.closed)...)
		}
	}
	for i, path := range l.hingeEdges {
		if ended(l.ctx, i) {
			break
		}
		along(owner{hingeStretch, i}, path, false, HingePerforation())
	}
	for i, path := range l.workEdges() {
		if ended(l.ctx, i) {
			break
		}
		along(owner{workPath, i}, path, l.works[i].Path.Closed, perforationOf(l.works[i]))
	}
	return out
}

// pathEdge is an edge of the arrangement on the way along a path: a hinge's stretch or a
// work's path.
type pathEdge struct {
	region.HalfEdge
	curve int     // source curve
	t     float64 // grows along the path on one curve
}

// edgesOfHinges lists the edges along each hinge, in order.
func (l *layout) edgesOfHinges() [][]pathEdge {
	return l.edgesAlong(len(l.hinges), func(curve int) (int, bool) {
		return l.curveHinges[curve].hinge, l.curveHinges[curve].against
	})
}

// workEdges lists the edges along each work, in order.
func (l *layout) workEdges() [][]pathEdge {
	return l.edgesAlong(len(l.works), func(curve int) (int, bool) {
		if o := l.owners[curve]; o.role == workPath {
			return o.index, false
		}
		return -1, false
	})
}

// edgesAlong lists the edges along each of n paths; of tells which path a curve is
// part of, −1 for none, and whether it runs against it. An edge that a path
// runs along twice is there once.
func (l *layout) edgesAlong(n int, of func(curve int) (path int, against bool)) [][]pathEdge {
	out := make([][]pathEdge, n)
	for i, p := range l.Edges {
		if ended(l.ctx, i) {
			break
		}
		for _, u := range p.Origins {
			path, against := of(u.Curve)
			if path < 0 {
				continue
			}
			s := pathEdge{region.HalfEdge{Edge: i, Reversed: u.Reversed != against}, u.Curve, u.T0}
			if against {
				s.t = -u.T1
			}
			if k := len(out[path]); k == 0 || out[path][k-1].Edge != i {
				out[path] = append(out[path], s)
			}
		}
	}
	for _, path := range out {
		slices.SortFunc(path, func(a, b pathEdge) int {
			return cmp.Or(cmp.Compare(a.curve, b.curve), cmp.Compare(a.t, b.t))
		})
	}
	return out
}

// trailsAlong gives the unbroken parts of a path whose edges are to be kept, directed like
// the path. On a closed path a part may lead over the path's start.
func (l *layout) trailsAlong(path []pathEdge, closed bool, keep func(edge int) bool) []trail {
	var out []trail
	last := -1 // node the last kept edge ended in
	for _, s := range path {
		if !keep(s.Edge) {
			continue
		}
		from, to := l.Ends(s.HalfEdge)
		if from != last {
			out = append(out, trail{})
		}
		r := &out[len(out)-1]
		r.halves = append(r.halves, s.HalfEdge)
		last = to
	}
	if closed && len(out) > 0 {
		if from, _ := l.Ends(out[0].halves[0]); from == last {
			out = wrap(out)
		}
	}
	return out
}

// wrap joins the last part of a closed path to the first, which starts where it ends.
func wrap(parts []trail) []trail {
	last := len(parts) - 1
	if last == 0 {
		parts[0].closed = true
		return parts
	}
	parts[0].halves = append(parts[last].halves, parts[0].halves...)
	return parts[:last]
}

// Perforation is how a line is perforated, lengths in mm.
type Perforation struct {
	Cut, Tie float64
	holds    bool // keeps a tie however short the path: the board hangs by it
}

// HingePerforation is how a perforated hinge is made: as a perforation in a script is
// unless it says otherwise.
func HingePerforation() Perforation { return Perforation{Cut: 3, Tie: 1, holds: true} }

// perforationOf is how a perforation was asked for.
func perforationOf(w *model.Work) Perforation { return Perforation{Cut: w.Cut, Tie: w.Tie} }

// fit gives the number of cuts for a path of a total length and their length: as many as find room at
// the length asked for. An open path begins and ends with a cut, a closed one has as
// many ties as cuts; ties keep their length and cuts stretch alike. They are shorter
// only on a path that holds the board and has no room for two. One cut as long as the
// path: no tie found room.
func (p Perforation) fit(total float64, closed bool) (cuts, length float64) {
	period := p.Cut + p.Tie
	if closed {
		if cuts = math.Floor((total + geom.Tiny) / period); cuts < 1 {
			return 1, total
		}
		return cuts, total/cuts - p.Tie
	}
	cuts = 1 + math.Max(0, math.Floor((total-p.Cut+geom.Tiny)/period))
	if p.holds && total > 2*p.Tie {
		cuts = math.Max(2, cuts)
	}
	return cuts, (total - (cuts-1)*p.Tie) / cuts
}

// Ties is how much board, in mm, the ties leave of a path of a total length; 0 where it is cut right
// through.
func (p Perforation) Ties(total float64, closed bool) float64 {
	cuts, length := p.fit(total, closed)
	return max(0, total-cuts*length)
}

// LengthFor is the shortest open path, in mm, whose ties leave as much board as asked
// for.
func (p Perforation) LengthFor(ties float64) float64 {
	return p.Cut + math.Ceil(ties/p.Tie-geom.Tiny)*(p.Cut+p.Tie)
}

// perforate gives the cuts of a perforated path, each a stroke that may bend
// round corners. On a closed path the first cut starts where the path does.
func (p Perforation) perforate(path []geom.Curve, closed bool) []Stroke {
	total := Stroke{Curves: path}.Length()
	cuts, length := p.fit(total, closed)
	if cuts == 1 && length == total {
		return []Stroke{{Curves: path, Closed: closed}}
	}
	strokes := make([]Stroke, 0, int(cuts))
	for i := 0.0; i < cuts; i++ {
		from := i * (length + p.Tie)
		to := from + length
		if i == cuts-1 && !closed {
			to = math.Inf(1) // the path's very end, free of rounding
		}
		strokes = append(strokes, Stroke{Curves: between(path, from, to)})
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
