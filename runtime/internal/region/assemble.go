package region

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// assembler builds the edges from where each curve stops. Edges between the
// same two nodes form a linked list by between and before, so that a new part
// is compared with those alone that it may coincide with.
type assembler struct {
	snapped []geom.Point   // places of the nodes, by snap's numbers
	number  []int          // final number of each of them, or −1 before its first use
	between map[uint64]int // last piece between two nodes, the low one in the high half
	before  []int          // the piece before it between the same nodes, or −1
	uses    []Origin       // room for the first use of every piece
	out     Arrangement
}

// assemble cuts every curve at its stops and merges stretches that coincide.
// snapped and of are what snap gives. When ctx ends it stops early.
func (s *splitter) assemble(ctx context.Context, snapped []geom.Point, of []int32) Arrangement {
	most := len(s.curves) // as many pieces as there can be
	for _, cuts := range s.inner {
		most += len(cuts)
	}
	a := &assembler{
		snapped: snapped,
		number:  make([]int, len(snapped)),
		between: make(map[uint64]int, len(s.curves)),
		before:  make([]int, 0, most),
		uses:    make([]Origin, 0, most),
		out:     Arrangement{make([]geom.Point, 0, len(snapped)), make([]Edge, 0, most)},
	}
	for i := range a.number {
		a.number[i] = -1
	}
	var stops []stop
	for i, c := range s.curves {
		if i%lookEvery == 0 && ctx.Err() != nil {
			return a.out
		}
		stops = append(stops[:0], stop{0, of[2*i]})
		slices.SortFunc(s.inner[i], byParameter)
		for _, cut := range s.inner[i] {
			stops = append(stops, stop{cut.t, of[cut.v]})
		}
		stops = thin(c, append(stops, stop{1, of[2*i+1]}))
		for k := 1; k < len(stops); k++ {
			a.piece(i, c, stops[k-1], stops[k])
		}
	}
	return a.out
}

// thin drops stops that follow another in the same node with less than four
// SnapTolerances of curve between: a node is at most three wide, so a curve that
// leaves it comes back only after more. A curve's end, t = 1, takes the place of
// the stop before it instead of being dropped, so that the parts still cover the
// curve to its end. By tolerance.
func thin(c geom.Curve, stops []stop) []stop {
	kept := stops[:1]
	for _, s := range stops[1:] {
		last := &kept[len(kept)-1]
		if s.v != last.v || s.t > last.t && c.Part(last.t, s.t).Length() > 4*geom.SnapTolerance {
			kept = append(kept, s)
		} else if s.t == 1 && len(kept) > 1 {
			last.t = 1
		}
	}
	return kept
}

// piece adds the stretch of curve i between two stops, or one more use of a
// piece that is already there.
func (a *assembler) piece(i int, c geom.Curve, from, to stop) {
	p := Edge{From: a.node(from.v), To: a.node(to.v)}
	p.Curve = refit(c.Part(from.t, to.t), a.out.Nodes[p.From], a.out.Nodes[p.To])
	key := uint64(min(p.From, p.To))<<32 | uint64(max(p.From, p.To))
	last, ok := a.between[key]
	if !ok {
		last = -1
	}
	for k := last; k >= 0; k = a.before[k] {
		if q := &a.out.Edges[k]; coincide(p.Curve, q.Curve) {
			q.Origins = append(q.Origins, Origin{i, against(p, *q), from.t, to.t})
			return
		}
	}
	n := len(a.uses)
	a.uses = append(a.uses, Origin{Curve: i, T0: from.t, T1: to.t})
	p.Origins = a.uses[n : n+1 : n+1]
	a.between[key] = len(a.out.Edges)
	a.before = append(a.before, last)
	a.out.Edges = append(a.out.Edges, p)
}

// node numbers the nodes that edges use in order of first use.
func (a *assembler) node(v int32) int {
	if a.number[v] < 0 {
		a.number[v] = len(a.out.Nodes)
		a.out.Nodes = append(a.out.Nodes, a.snapped[v])
	}
	return a.number[v]
}

// coincide reports whether two curves between the same nodes run together all
// the way, by tolerance. They ran within geom.SnapTolerance of each other, and
// snapping may have moved the ends of the one by the width of a node against
// those of the other. Two lines between the same nodes are equal; of the rest three
// points are compared each way. Two different curves could pass that only by
// meeting in five places within the tolerance, ends included, more than lines
// and arcs can; two cubics may have up to nine.
func coincide(a, b geom.Curve) bool {
	const apart = geom.SnapTolerance + maxNodeSpan
	if a.Kind == geom.Line && b.Kind == geom.Line {
		return true
	}
	for _, t := range [...]float64{0.5, 0.25, 0.75} {
		if _, d := b.Nearest(a.At(t)); d > apart {
			return false
		}
		if _, d := a.Nearest(b.At(t)); d > apart {
			return false
		}
	}
	return true
}

// against reports whether p runs against q, which it coincides with: by their
// nodes, or, for a closed edge, by the tangents in the middle.
func against(p, q Edge) bool {
	if p.From != p.To {
		return p.From != q.From
	}
	t, _ := q.Nearest(p.At(0.5))
	return q.Tangent(t).Dot(p.Tangent(0.5)) < 0
}
