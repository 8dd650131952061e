package region

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Origin says that a curve given to Arrange runs along an edge: the stretch from
// T0 to T1 of its parameter, T0 < T1; Reversed when it runs against the edge.
type Origin struct {
	Curve    int
	Reversed bool
	T0, T1   float64
}

// Edge is a stretch of curve between two nodes that nothing else crosses. Its
// geometry and direction are those of the first curve in Origins, which are in
// order of Curve.
type Edge struct {
	geom.Curve
	From, To int // node numbers
	Origins  []Origin
}

// Arrangement is what a set of curves becomes when all are split where they
// meet and stretches that coincide are merged.
type Arrangement struct {
	Nodes []geom.Point
	Edges []Edge
}

// Arrange splits all curves at their crossings, touching ends and overlaps.
// Stretches within geom.SnapTolerance of each other become one edge with several
// origins; ends within geom.SnapTolerance become one node; what is shorter than
// that vanishes.
// Edges come in order of their first curve, then of its parameter; nodes in
// order of first use. Time grows as n log n for curves that each meet few
// others.
//
// An arc keeps its centre and radius to the bit unless an end of it has to
// move to a node that lies off it by more than geom.Tiny; see refit. An arc of
// nearly a full turn is cut in the middle; see nearlyFull.
//
// A node takes in points linked one to the next by steps of at most
// geom.SnapTolerance, but grows no wider than maxNodeSpan, so that a row of points
// 0.9 of the tolerance apart does not collapse into one.
func Arrange(curves []geom.Curve) Arrangement {
	a, _ := ArrangeUntil(context.Background(), curves)
	return a
}

// ArrangeUntil is Arrange for as long as ctx has not ended; then it stops and
// the error is the context's cause.
func ArrangeUntil(ctx context.Context, curves []geom.Curve) (Arrangement, error) {
	t := groupCoincident(curves)
	s := newSplitter(t.firsts)
	s.findTouches(ctx)
	s.shareCuts()
	var a Arrangement
	if ctx.Err() == nil {
		nodes, of := s.snap()
		a = s.assemble(ctx, nodes, of)
		t.spread(&a)
	}
	if ctx.Err() != nil {
		return Arrangement{}, context.Cause(ctx)
	}
	return a, nil
}

// lookEvery is after how many pairs or curves, each of some microseconds, the
// context is looked at again.
const lookEvery = 64

// stop is where a curve is cut: at parameter t, in a vertex (before snapping)
// or a node (after it).
type stop struct {
	t float64
	v int32
}

// overlap is a stretch along which two curves run within geom.SnapTolerance of
// each other; A0 to A1 is a's.
type overlap struct {
	a, b int
	geom.Intersection
}

// vertex is a place where a curve is cut or ends.
type vertex struct {
	drawn geom.Point // where it is by the curves given; decides what is near
	seat  geom.Point // where its node goes if it leads one: on an arc, for an end that stops on one
	onArc bool       // whether the seat lies on an arc
}

// splitter collects where curves are cut. inner[i] holds the cuts of curve i
// inside it, ordered by parameter once shareCuts has run; a vertex may occur in
// several of these lists. Vertices 2i and 2i+1 are the start
// and end of curve i; those behind are inner cuts. A vertex shared by two
// curves makes them share a node however snapping turns out.
type splitter struct {
	curves   []geom.Curve
	vertices []vertex
	inner    [][]stop
	overlaps []overlap
}

func newSplitter(curves []geom.Curve) *splitter {
	s := &splitter{
		curves:   curves,
		vertices: make([]vertex, 0, 3*len(curves)),
		inner:    make([][]stop, len(curves)),
	}
	for _, c := range curves {
		s.vertex(c.P, c.Kind == geom.Arc)
		s.vertex(c.Q, c.Kind == geom.Arc)
	}
	for i, c := range curves {
		if nearlyFull(c) {
			s.cut(i, 0.5, s.vertex(c.At(0.5), true))
		}
	}
	return s
}

func (s *splitter) vertex(p geom.Point, onArc bool) int32 {
	s.vertices = append(s.vertices, vertex{p, p, onArc})
	return int32(len(s.vertices) - 1)
}

func (s *splitter) cut(curve int, t float64, v int32) {
	s.inner[curve] = append(s.inner[curve], stop{t, v})
}

// Near visits every two curves, i < j, whose boxes come within reach mm of each
// other, as geom.BoxPairs does. Once ctx has ended it builds no more boxes and
// visits nothing; visit itself looks at the context from then on.
func Near(ctx context.Context, curves []geom.Curve, reach float64, visit func(i, j int) bool) {
	boxes := make([]geom.Box, len(curves))
	for i, c := range curves {
		if i%lookEvery == 0 && ctx.Err() != nil {
			return
		}
		boxes[i] = c.Bounds().Grow(reach / 2)
	}
	geom.BoxPairs(boxes, visit)
}

// findTouches records every place where two curves meet, or one cubic itself.
// It takes n log n for the broad phase and constant time for each pair found;
// when ctx ends it stops early, which leaves the splitter unfit for use.
func (s *splitter) findTouches(ctx context.Context) {
	pairs := 0
	Near(ctx, s.curves, geom.SnapTolerance, func(i, j int) bool {
		if pairs++; pairs%lookEvery == 0 && ctx.Err() != nil {
			return false
		}
		for _, t := range meet(s.curves[i], s.curves[j]) {
			s.touch(i, j, t.A0, t.B0)
			if t.A0 < t.A1 {
				s.touch(i, j, t.A1, t.B1)
				s.overlaps = append(s.overlaps, overlap{i, j, t})
			}
		}
		return true
	})
	for i, c := range s.curves {
		if t0, t1, ok := c.SelfCrossing(); ok {
			v := s.vertex(c.At(t0), false)
			s.cut(i, t0, v)
			s.cut(i, t1, v)
		}
	}
}

// touch makes curve a at ta and curve b at tb share one vertex: an end of either
// where one is near, else a new one. By tolerance: within geom.SnapTolerance of
// an end the end is meant.
//
// Four cases: two ends near each other need nothing, as snap joins them; an
// end on the inside of the other curve cuts that curve there; two insides get
// a vertex of their own. Its place is on an arc if either curve is one, since an
// arc cannot give way without changing its circle.
func (s *splitter) touch(a, b int, ta, tb float64) {
	ca, cb := s.curves[a], s.curves[b]
	pa, pb := ca.At(ta), cb.At(tb)
	ea, eb := s.endNear(a, ta, pb), s.endNear(b, tb, pa)
	switch {
	case ea >= 0 && eb >= 0 && s.vertices[ea].drawn.Dist(s.vertices[eb].drawn) <= geom.SnapTolerance:
		// Two ends: snapping joins them.
	case ea >= 0:
		s.cut(b, tb, ea)
		s.pull(ea, cb, pb)
	case eb >= 0:
		s.cut(a, ta, eb)
		s.pull(eb, ca, pa)
	default:
		if ca.Kind != geom.Arc && cb.Kind == geom.Arc {
			pa = pb
		}
		v := s.vertex(pa, ca.Kind == geom.Arc || cb.Kind == geom.Arc)
		s.cut(a, ta, v)
		s.cut(b, tb, v)
	}
}

// endNear is the vertex of the curve's end on t's side, if it lies within
// geom.SnapTolerance of q; else −1. By tolerance.
func (s *splitter) endNear(curve int, t float64, q geom.Point) int32 {
	c, v, end := s.curves[curve], int32(2*curve), geom.Point{}
	if t < 0.5 {
		end = c.P
	} else {
		end, v = c.Q, v+1
	}
	if end.Dist(q) > geom.SnapTolerance {
		return -1
	}
	return v
}

// pull places an end that stops on an arc at the point of the arc: a line or
// cubic can follow a moved end, an arc only by leaving its circle. An end of
// an arc stays on its own circle.
func (s *splitter) pull(end int32, c geom.Curve, onto geom.Point) {
	if v := &s.vertices[end]; c.Kind == geom.Arc && !v.onArc {
		v.seat, v.onArc = onto, true
	}
}

// shareCuts gives the cuts inside an overlap to both its curves, so that the
// two are split alike even where a third crosses them at a shallow angle.
func (s *splitter) shareCuts() {
	for _, cuts := range s.inner {
		slices.SortFunc(cuts, byParameter)
	}
	if len(s.overlaps) == 0 {
		return
	}
	own := slices.Clone(s.inner)
	for _, o := range s.overlaps {
		b0, b1 := min(o.B0, o.B1), max(o.B0, o.B1)
		s.copyCuts(own[o.a], o.A0, o.A1, o.b, b0, b1)
		s.copyCuts(own[o.b], b0, b1, o.a, o.A0, o.A1)
	}
}

func byParameter(x, y stop) int {
	switch {
	case x.t < y.t:
		return -1
	case x.t > y.t:
		return 1
	}
	return int(x.v - y.v)
}

// copyCuts copies the cuts strictly between parameters from and to of one curve,
// in order of parameter, to the curve onto, where their nearest points fall
// strictly between t0 and t1. Cuts in a vertex that curve has already are left out.
func (s *splitter) copyCuts(cuts []stop, from, to float64, onto int, t0, t1 float64) {
	first, _ := slices.BinarySearchFunc(cuts, stop{t: from}, byParameter)
	for _, c := range cuts[first:] {
		if c.t >= to {
			return
		}
		if slices.ContainsFunc(s.inner[onto], func(d stop) bool { return d.v == c.v }) {
			continue
		}
		if t, _ := s.curves[onto].Nearest(s.vertices[c.v].seat); t > t0 && t < t1 {
			s.cut(onto, t, c.v)
		}
	}
}
