package linework

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// Part is a connected component of the board once everything is cut.
type Part struct {
	Area   float64        // inside its outer boundary, windows included, mm²
	Panels []*model.Panel // that have board in it, in the piece's order
	Hinges []*model.Hinge // that join board in it
	Scores []*model.Work  // drawn by hand, that crease board in it
	Inner  bool           // it reaches no outer contour: it falls out of the middle
	Ring   []geom.Curve   // its outer boundary, counter-clockwise
}

// Parts gives the parts of the blank, the largest first. They are worked out
// only where slits or several outer contours could part anything; else the
// answer is nil, and all of the blank is one part. An error means that lines
// run too close together for boundaries to be traced, or it is the context's
// cause.
func (l *Lines) Parts(ctx context.Context) ([]Part, error) {
	if !l.canSeparate() {
		return nil, nil
	}
	parts, err := l.traceParts(ctx)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(parts, func(p, q Part) int { return cmp.Compare(q.Area, p.Area) })
	if l.assignCreases(ctx, parts); ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return parts, nil
}

// traceParts traces the faces of the arrangement of all cuts, each with its inside on
// the left, and gives those that are board. Faces with a negative area are the
// outsides of components. The sign is that of the computed sum, which is good to
// 10⁻¹¹ of the blank's area; the arrangement makes one line of cuts that run within
// the snap tolerance of one another, so a face is wider than that.
func (l *Lines) traceParts(ctx context.Context) ([]Part, error) {
	var cuts []geom.Curve
	var outer []bool // by cut: it is part of an outer contour
	for i := range l.All {
		if line := &l.All[i]; line.IsCut() {
			cuts = append(cuts, line.Curve)
			outer = append(outer, line.Role == Rim && signedArea(l.strokes[line.stroke].Curves) > 0)
		}
	}
	arr, err := region.ArrangeUntil(ctx, cuts)
	if err != nil {
		return nil, err
	}
	var halves []region.HalfEdge
	for i := range arr.Edges {
		halves = append(halves, region.HalfEdge{Edge: i}, region.HalfEdge{Edge: i, Reversed: true})
	}
	rings, err := arr.Rings(halves, region.SeparateRegions)
	var parts []Part
	for i, ring := range rings {
		if ended(ctx, i) {
			return nil, context.Cause(ctx)
		}
		isOuter := func(u region.Origin) bool { return outer[u.Curve] }
		p := Part{Ring: arr.Curves(ring)}
		p.Inner = !slices.ContainsFunc(ring, func(h region.HalfEdge) bool {
			return slices.ContainsFunc(arr.Edges[h.Edge].Origins, isOuter)
		})
		if p.Area = signedArea(p.Ring); p.Area > 0 && l.addPanels(&p) {
			parts = append(parts, p)
		}
	}
	return parts, err
}

// canSeparate reports whether the cuts could leave more than one part.
func (l *Lines) canSeparate() bool {
	outer, slits := 0, false
	for i, s := range l.strokes {
		if !s.Closed {
			slits = true
		} else if signedArea(l.strokes[i].Curves) > 0 {
			outer++
		}
	}
	return slits || outer > 1
}

// addPanels lists the panels that have board along a part's boundary, asked for at a
// point on the inner side of each of its curves. It reports whether there are any:
// else the face is a hole.
func (l *Lines) addPanels(p *Part) bool {
	found := map[*model.Panel]bool{}
	for _, c := range p.Ring {
		found[l.PanelAt(offsetPoint(c, 1))] = true
	}
	for _, panel := range l.Blank.Piece.Panels {
		if found[panel] {
			p.Panels = append(p.Panels, panel)
		}
	}
	return p.Panels != nil
}

// assignCreases lists hinges and scores with the parts that contain them, as far as
// the context lets it. Each crease is sampled at four parameters, none of them at a
// middle or an end, where cuts are likely to cross it.
func (l *Lines) assignCreases(ctx context.Context, parts []Part) {
	for i := range l.All {
		if ended(ctx, i) {
			return
		}
		line := &l.All[i]
		if line.IsCut() {
			continue
		}
		for _, t := range [...]float64{0.1, 0.4, 0.6, 0.9} {
			at := line.At(t)
			p := partAt(parts, at)
			switch {
			case p == nil:
			case line.Hinge != nil && !slices.Contains(p.Hinges, line.Hinge):
				p.Hinges = append(p.Hinges, line.Hinge)
			case line.Score != nil && !slices.Contains(p.Scores, line.Score) && l.PanelAt(at) != nil:
				p.Scores = append(p.Scores, line.Score)
			}
		}
	}
}

// partAt is the smallest part that contains a point of the board, by winding number,
// or nil. Parts are in order of falling area. A single part contains all.
func partAt(parts []Part, at geom.Point) *Part {
	if len(parts) == 1 {
		return &parts[0]
	}
	for i := len(parts) - 1; i >= 0; i-- {
		if geom.Winding(parts[i].Ring, at) > 0 {
			return &parts[i]
		}
	}
	return nil
}

// Bridges tells, by hinge of the piece, whether it is a bridge of the graph of panels
// and hinges: without it the panels on either side are no longer connected (Tarjan,
// A note on finding the bridges of a graph, 1974). Linear in panels and hinges.
func (l *Lines) Bridges() []bool {
	b := newBridgeFinder(l.Blank.Piece)
	for v := range b.adjacent {
		if b.discovery[v] == 0 {
			b.search(v)
		}
	}
	return b.bridge
}

// adjacency is a neighbour of a panel, by index, and the hinge that leads to it.
type adjacency struct{ to, hinge int }

type bridgeFinder struct {
	adjacent  [][]adjacency // by panel
	discovery []int         // order in which the search reached the panel, from 1; 0 for not yet
	low       []int         // least discovery reachable through the panel's subtree and one other edge
	clock     int
	bridge    []bool
}

func newBridgeFinder(piece *model.Piece) *bridgeFinder {
	n := len(piece.Panels)
	b := &bridgeFinder{adjacent: make([][]adjacency, n), discovery: make([]int, n), low: make([]int, n), bridge: make([]bool, len(piece.Hinges))}
	index := make(map[*model.Panel]int, n)
	for i, p := range piece.Panels {
		index[p] = i
	}
	for i, h := range piece.Hinges {
		p, c := index[h.Parent], index[h.Child]
		b.adjacent[p] = append(b.adjacent[p], adjacency{c, i})
		b.adjacent[c] = append(b.adjacent[c], adjacency{p, i})
	}
	return b
}

// frame is an entry of the search's stack: a panel, the hinge over which it was
// entered and the index of the neighbour that is tried next.
type frame struct{ panel, hinge, next int }

// search goes depth first from a panel. It keeps its own stack, since chains may have
// more panels than recursion has room for.
func (b *bridgeFinder) search(root int) {
	stack := []frame{b.enter(root, -1)}
	for len(stack) > 0 {
		v := &stack[len(stack)-1]
		if v.next == len(b.adjacent[v.panel]) {
			stack = stack[:len(stack)-1]
			if len(stack) > 0 {
				b.leave(stack[len(stack)-1].panel, *v)
			}
			continue
		}
		w := b.adjacent[v.panel][v.next]
		v.next++
		switch {
		case w.hinge == v.hinge:
		case b.discovery[w.to] > 0:
			b.low[v.panel] = min(b.low[v.panel], b.discovery[w.to])
		default:
			stack = append(stack, b.enter(w.to, w.hinge))
		}
	}
}

// enter numbers a panel that is reached over a hinge, −1 for a root.
func (b *bridgeFinder) enter(panel, hinge int) frame {
	b.clock++
	b.discovery[panel], b.low[panel] = b.clock, b.clock
	return frame{panel: panel, hinge: hinge}
}

// leave returns from a panel to the one it was entered from: the hinge between them
// is a bridge if nothing below leads back to that one or an earlier one.
func (b *bridgeFinder) leave(to int, from frame) {
	b.low[to] = min(b.low[to], b.low[from.panel])
	if b.low[from.panel] > b.discovery[to] {
		b.bridge[from.hinge] = true
	}
}
