package blank

import (
	"context"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// Lay works out the flat blank of a piece. The design's poses say which hinges
// ever fold. Findings name what cannot be made: panels that overlap in the
// flat, and panels, hinges, windows and works that are left without board. The
// blank is as good as it can be all the same, for a picture of the fault. The
// error is the context's cause if that ends before the blank is laid, and nil
// else; with an error there is no blank.
func Lay(ctx context.Context, piece *model.Piece, poses []*model.Pose) (*Blank, []*diag.Finding, error) {
	l, err := newLayout(ctx, piece, poses)
	if err != nil {
		return nil, nil, err
	}
	b := &Blank{
		Piece:   piece,
		Layers:  l.layers(),
		Regions: l.regions(),
		Hinges:  l.hingeLines(),
		Bounds:  l.bounds(),
	}
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx) // what the loops left is not whole
	}
	for _, s := range b.Regions {
		b.Area += s.Area
	}
	found := l.findings(b)
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx)
	}
	return b, found, nil
}

// lookEvery is after how many steps of a loop the context is looked at: few
// enough for steps of some microseconds to add up to less than a millisecond.
const lookEvery = 64

// ended looks at the context at every lookEvery-th step of a loop. A loop that
// it ends leaves its work half done, which is never seen: Lay looks again.
func ended(ctx context.Context, i int) bool { return i%lookEvery == 0 && ctx.Err() != nil }

// layout is a piece under way: its line work split at every meeting, with what
// lies along each edge and what becomes of it.
type layout struct {
	*sources
	ctx context.Context // of the Lay under way
	region.Arrangement
	piece      *model.Piece
	hingeKinds []Kind
	hingeEnds  [][2]int // numbers of each hinge's parent and child
	sides      []sides
	classes    []class
	onBoard    []bool       // by window: it found board to take
	unclosed   []error      // boundaries that could not be traced
	hingeEdges [][]pathEdge // by hinge: the edges along it, in order
}

// newLayout splits and judges the line work of a piece.
func newLayout(ctx context.Context, piece *model.Piece, poses []*model.Pose) (*layout, error) {
	l := &layout{sources: collectSources(ctx, piece), ctx: ctx, piece: piece}
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	number := make(map[*model.Panel]int, len(l.panels))
	for i, p := range l.panels {
		number[p] = i
	}
	for _, h := range l.hinges {
		l.hingeKinds = append(l.hingeKinds, hingeKind(h, poses))
		l.hingeEnds = append(l.hingeEnds, [2]int{number[h.Parent], number[h.Child]})
	}
	var err error
	if l.Arrangement, err = region.ArrangeUntil(ctx, l.curves); err != nil {
		return nil, err
	}
	c := newLabeller(ctx, l.sources, &l.Arrangement)
	l.sides = make([]sides, len(l.Edges))
	l.classes = make([]class, len(l.Edges))
	for i, p := range l.Edges {
		if ended(ctx, i) {
			return nil, context.Cause(ctx)
		}
		l.sides[i] = c.along(p)
		l.classes[i] = l.classify(p, &l.sides[i])
	}
	c.settleWindows(ctx)
	l.onBoard = c.onBoard
	l.hingeEdges = l.edgesOfHinges()
	return l, nil
}

// bounds is the box round the board: its rim reaches all its extremes. Where
// windows leave no board at all it is the box round the panels as drawn.
func (l *layout) bounds() geom.Box {
	b := geom.EmptyBox()
	for i, v := range l.classes {
		if v.rim {
			b = b.Union(l.Edges[i].Bounds())
		}
	}
	if !b.Empty() {
		return b
	}
	for _, p := range l.outlines {
		b = b.Union(p.Bounds())
	}
	return b
}

// role says what a source curve belongs to.
type role uint8

const (
	panelEdge role = iota
	windowEdge
	workPath
	hingeStretch
)

// owner names what a source curve is part of: by role, the number of the
// panel, window, work or hinge in the sources' lists.
type owner struct {
	role  role
	index int
}

// sources is all the line work of a piece as the model tells it, in the blank
// frame and with nothing merged yet.
type sources struct {
	panels  []*model.Panel
	windows []*model.Window
	works   []*model.Work
	hinges  []*model.Hinge

	outlines    []geom.Path // of the panels
	omitted     []bool      // by panel: left out, with all work on it
	curves      []geom.Curve
	owners      []owner      // of the curves
	curveHinges []curveHinge // by curve
}

// curveHinge says which hinge runs all along a curve, and whether it runs the
// other way; hinge is −1 for none.
type curveHinge struct {
	hinge   int
	against bool
}

// collectSources lists a piece's curves: outlines first, as they give what coincides
// with them its geometry, then windows, works and the hinges' stretches.
func collectSources(ctx context.Context, piece *model.Piece) *sources {
	s := &sources{panels: piece.Panels, hinges: piece.Hinges}
	for i, p := range s.panels {
		if ended(ctx, i) {
			break
		}
		s.outlines = append(s.outlines, p.Outline.Transform(p.Flat))
	}
	s.omitted = overStacked(ctx, s.outlines)
	if ctx.Err() != nil {
		return s
	}
	firstEdge := make(map[*model.Panel]int, len(s.panels))
	for i, p := range s.panels {
		if ended(ctx, i) {
			return s
		}
		if s.omitted[i] {
			continue
		}
		firstEdge[p] = len(s.curves)
		s.add(owner{panelEdge, i}, s.outlines[i])
		s.windows = append(s.windows, p.Windows...)
		s.works = append(s.works, p.Works...)
	}
	for i, w := range s.windows {
		if ended(ctx, i) {
			return s
		}
		s.add(owner{windowEdge, i}, w.Outline.Transform(w.Panel.Flat))
	}
	for i, w := range s.works {
		if ended(ctx, i) {
			return s
		}
		s.add(owner{workPath, i}, w.Path.Transform(w.Panel.Flat))
	}
	for i, h := range s.hinges {
		if ended(ctx, i) {
			return s
		}
		if first, ok := firstEdge[h.Child]; ok {
			s.addHinge(i, h, first+h.By.Index)
		}
	}
	return s
}

// addHinge notes that a hinge runs all along the child's edge that it hangs
// by, as most do, or lists its stretch: that splits the line work where the
// hinge ends.
func (s *sources) addHinge(i int, h *model.Hinge, edge int) {
	stretch := h.Curve.Transform(h.Parent.Flat)
	along, back := s.curves[edge], s.curves[edge].Reverse()
	switch {
	case s.curveHinges[edge].hinge >= 0:
	case sameEnds(along, stretch):
		s.curveHinges[edge] = curveHinge{hinge: i}
		return
	case sameEnds(back, stretch):
		s.curveHinges[edge] = curveHinge{hinge: i, against: true}
		return
	}
	s.curves = append(s.curves, stretch)
	s.owners = append(s.owners, owner{hingeStretch, i})
	s.curveHinges = append(s.curveHinges, curveHinge{hinge: i})
}

// sameEnds reports whether two curves start together and end together.
func sameEnds(a, b geom.Curve) bool {
	return a.P.Dist(b.P) <= geom.SnapTolerance && a.Q.Dist(b.Q) <= geom.SnapTolerance
}

// add lists the curves of a path in the blank.
func (s *sources) add(o owner, path geom.Path) {
	for _, e := range path.Edges {
		s.curves = append(s.curves, e.Curve)
		s.owners = append(s.owners, o)
		s.curveHinges = append(s.curveHinges, curveHinge{hinge: -1})
	}
}

// hangsIn reports whether p stands in window w: it, or one it hangs from,
// hangs on an edge of the opening.
func hangsIn(p *model.Panel, w *model.Window) bool {
	for in := p.In; in != nil; in = in.Panel.In {
		if in == w {
			return true
		}
	}
	return false
}
