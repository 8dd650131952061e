package blank

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// Sides of an edge of the arrangement, in its own direction.
const (
	leftSide  = 0
	rightSide = 1
)

// label is the inside of one outline, by number, along one side of an edge of
// the arrangement: up to an edge of the outline there, or right across.
type label struct {
	index int
	edge  bool
}

// sides is what lies along an edge of the arrangement, left and right: outlines with an
// edge there first, then the others in order. More than one panel on a side is
// an overlap.
type sides [2][]label

// has reports whether the outline of that number lies on the side.
func (s *sides) has(side, index int) bool {
	return slices.ContainsFunc(s[side], func(c label) bool { return c.index == index })
}

// empty reports whether no board is left on the side.
func (s *sides) empty(side int) bool { return len(s[side]) == 0 }

// labeller finds the labels of edges of the arrangement.
type labeller struct {
	*sources
	panelRims, windowRims *outlineIndex
	onBoard               []bool // by window: there is board to take under it
}

func newLabeller(ctx context.Context, s *sources, arr *region.Arrangement) *labeller {
	return &labeller{
		sources:    s,
		panelRims:  newOutlineIndex(ctx, s, arr, panelEdge, len(s.panels)),
		windowRims: newOutlineIndex(ctx, s, arr, windowEdge, len(s.windows)),
		onBoard:    make([]bool, len(s.windows)),
	}
}

// along gives the labels of an edge's two sides after windows. Windows with an edge
// there come first; of those that contain the edge only as many are asked as it
// takes to leave no board, since hundreds may overlap.
func (c *labeller) along(p region.Edge) sides {
	board, edges := c.panelRims.along(p), c.windowRims.beside(p)
	left := board
	for side, windows := range edges {
		for _, w := range windows {
			left[side] = c.without(left[side], board[side], w.index)
		}
	}
	if left.empty(leftSide) && left.empty(rightSide) {
		return left
	}
	c.windowRims.across(p.At(0.5), &edges, func(w int) bool {
		for side := range left {
			left[side] = c.without(left[side], left[side], w)
		}
		return !left.empty(leftSide) || !left.empty(rightSide)
	})
	return left
}

// without is what a window takes from what is left of the board on one side,
// and notes that it found some of it to take.
func (c *labeller) without(left, board []label, window int) []label {
	takes := func(b label) bool { return !hangsIn(c.panels[b.index], c.windows[window]) }
	if !slices.ContainsFunc(board, takes) {
		return left
	}
	c.onBoard[window] = true
	return slices.DeleteFunc(slices.Clone(left), takes)
}

// settleWindows sets onBoard for the windows that no edge has shown to take board.
// Such a window has no edge on board, and no board has an edge inside it that it
// could take, so it contains each panel wholly or not at all, and one point of the
// panel decides: the middle of its first edge, by winding number.
func (c *labeller) settleWindows(ctx context.Context) {
	for w, found := range c.onBoard {
		if ended(ctx, w) {
			return
		}
		if found {
			continue
		}
		rim := c.windowRims.rims[w]
		c.onBoard[w] = slices.ContainsFunc(c.panels, func(p *model.Panel) bool {
			return !hangsIn(p, c.windows[w]) && rim.About(p.Flat.Apply(p.Outline.Edges[0].At(0.5))) != 0
		})
	}
}

// outlineIndex are all outlines of one role, panels or windows, as the arrangement
// has them. Snapping moves lines by up to a few tolerances; asking the moved outlines
// rather than those drawn keeps the answers about neighbouring edges consistent
// where lines run a tolerance apart.
type outlineIndex struct {
	role   role
	owners []owner
	rims   []*geom.WindingIndex // by outline
	tree   *geom.BoxTree        // over the outlines' boxes
}

// newOutlineIndex collects the n outlines of a role from the pieces they run along.
func newOutlineIndex(ctx context.Context, s *sources, arr *region.Arrangement, r role, n int) *outlineIndex {
	sh := &outlineIndex{role: r, owners: s.owners, rims: make([]*geom.WindingIndex, n)}
	rims, boxes := make([][]geom.Curve, n), make([]geom.Box, n)
	for i := range boxes {
		boxes[i] = geom.EmptyBox()
	}
	for i, p := range arr.Edges {
		if ended(ctx, i) {
			break
		}
		for _, e := range sh.edges(p) {
			c := p.Curve
			if e.turns < 0 {
				c = c.Reverse()
			}
			rims[e.index] = append(rims[e.index], c)
			boxes[e.index] = boxes[e.index].Union(c.Bounds())
		}
	}
	for i, rim := range rims {
		if ended(ctx, i) {
			break
		}
		sh.rims[i] = geom.NewWindingIndex(rim)
	}
	sh.tree = geom.NewBoxTree(boxes)
	return sh
}

// edge says that an outline has an edge along a piece: its inside lies on the
// left where turns is positive, on the right where it is negative: the number of
// source edges that run along the piece in its direction, less those against it.
// Exact, being a count. Where an outline narrower than the snap tolerance runs there
// and back, turns is 0 and the outline has no inside there.
type edge struct{ index, turns int }

// edges lists the outlines that have an edge along the piece.
func (sh *outlineIndex) edges(p region.Edge) []edge {
	var out []edge
	for _, u := range p.Origins {
		o := sh.owners[u.Curve]
		if o.role != sh.role {
			continue
		}
		k := slices.IndexFunc(out, func(e edge) bool { return e.index == o.index })
		if k < 0 {
			k = len(out)
			out = append(out, edge{index: o.index})
		}
		if u.Reversed {
			out[k].turns--
		} else {
			out[k].turns++
		}
	}
	return slices.DeleteFunc(out, func(e edge) bool { return e.turns == 0 })
}

// along lists, by side, the outlines with their inside along an edge of the
// arrangement. On which side of its own edges an outline lies follows from their
// direction, exactly. For an outline with no edge there the winding number about the
// midpoint decides: exact for straight lines, to rounding for curves (see
// geom.WindingIndex). The arrangement has merged whatever runs within the snap
// tolerance of the edge, so the midpoint is that far from the outline unless the
// edge itself is about as short, and rounding changes no answer.
func (sh *outlineIndex) along(p region.Edge) sides {
	out := sh.beside(p)
	var across []label
	sh.across(p.At(0.5), &out, func(i int) bool {
		across = append(across, label{index: i})
		return true
	})
	slices.SortFunc(across, func(a, b label) int { return a.index - b.index })
	for side := range out {
		out[side] = append(out[side], across...)
	}
	return out
}

// beside lists, by side, the outlines with an edge along the piece.
func (sh *outlineIndex) beside(p region.Edge) sides {
	var out sides
	for _, e := range sh.edges(p) {
		side := leftSide
		if e.turns < 0 {
			side = rightSide
		}
		out[side] = append(out[side], label{e.index, true})
	}
	return out
}

// across visits the outlines that contain the midpoint of an edge and have none of
// their own along it, until visit returns false. edges are those that have.
func (sh *outlineIndex) across(mid geom.Point, edges *sides, visit func(i int) bool) {
	for _, i := range sh.tree.Intersecting(geom.BoxOf(mid), nil) {
		if !edges.has(leftSide, i) && !edges.has(rightSide, i) && sh.rims[i].About(mid) != 0 && !visit(i) {
			return
		}
	}
}

// maxStack is on how many panels made before it a panel may lie and still be
// laid out. A blank that can be made has none that do. A loop in a script can stack
// thousands, whose pairwise intersections take quadratic time and give no further
// information.
const maxStack = 12

// overStacked tells, by panel, which lie on more than maxStack others that are
// laid out.
func overStacked(ctx context.Context, outlines []geom.Path) []bool {
	out := make([]bool, len(outlines))
	var kept boxForest
	var near []int
	for i, p := range outlines {
		if ended(ctx, i) {
			break
		}
		box := p.Bounds()
		near = kept.intersecting(box, near[:0])
		if out[i] = len(near) > maxStack && liesOnMany(outlines, i, near); !out[i] {
			kept.add(box, i)
		}
	}
	return out
}

// boxForest is boxes that are added one by one and can be looked up in between, in
// trees of 1, 2, 4 … boxes, each at most once: of equal trees two make the next
// larger one (J. L. Bentley, J. B. Saxe, J. Algorithms 1 (1980) 301, from memory).
// Adding n boxes takes n log² n steps, looking one up log² n for each that it finds.
type boxForest []boxGroup

// boxGroup is one tree of a forest, with the numbers of its boxes.
type boxGroup struct {
	tree    *geom.BoxTree
	boxes   []geom.Box
	numbers []int
}

func (f *boxForest) add(b geom.Box, number int) {
	g := boxGroup{boxes: []geom.Box{b}, numbers: []int{number}}
	for len(*f) > 0 {
		last := (*f)[len(*f)-1]
		if len(last.boxes) > len(g.boxes) {
			break
		}
		g.boxes, g.numbers = append(last.boxes, g.boxes...), append(last.numbers, g.numbers...)
		*f = (*f)[:len(*f)-1]
	}
	g.tree = geom.NewBoxTree(g.boxes)
	*f = append(*f, g)
}

// intersecting adds the numbers of the boxes that share a point with b to found, in
// ascending order.
func (f boxForest) intersecting(b geom.Box, found []int) []int {
	for _, g := range f {
		from := len(found)
		found = g.tree.Intersecting(b, found)
		for i := from; i < len(found); i++ {
			found[i] = g.numbers[found[i]]
		}
	}
	slices.Sort(found)
	return found
}

// liesOnMany reports whether a panel lies on more than maxStack of those near.
func liesOnMany(outlines []geom.Path, i int, near []int) bool {
	own, n := [][]geom.Curve{outlines[i].Curves()}, 0
	for _, j := range near {
		if region.Overlaps(own, [][]geom.Curve{outlines[j].Curves()}) {
			n++
		}
		if n > maxStack {
			return true
		}
	}
	return false
}
