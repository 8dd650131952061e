package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/region"
)

// Sides of a piece of line, in its own direction.
const (
	leftSide  = 0
	rightSide = 1
)

// cover is the inside of one outline, by number, along one side of a piece of
// line: up to an edge of the outline there, or right across.
type cover struct {
	index int
	edge  bool
}

// sides is what lies along a piece of line, left and right: outlines with an
// edge there first, then the others in order. More than one panel on a side is
// an overlap.
type sides [2][]cover

// has reports whether the outline of that number lies on the side.
func (s *sides) has(side, index int) bool {
	return slices.ContainsFunc(s[side], func(c cover) bool { return c.index == index })
}

// bare reports whether no board is left on the side.
func (s *sides) bare(side int) bool { return len(s[side]) == 0 }

// coverer finds the board along pieces of line.
type coverer struct {
	*sources
	panelTree, windowTree *boxTree
	onBoard               []bool // by window: there is board to take under it
}

func newCoverer(s *sources) *coverer {
	boxes := func(paths []geom.Path) []geom.Box {
		out := make([]geom.Box, len(paths))
		for i, p := range paths {
			out[i] = p.Bounds()
		}
		return out
	}
	return &coverer{
		sources:    s,
		panelTree:  newBoxTree(boxes(s.outlines)),
		windowTree: newBoxTree(boxes(s.openings)),
		onBoard:    make([]bool, len(s.windows)),
	}
}

// along is the board left on either side of a piece. Which side of its own
// edges a panel or an opening lies on is known from the edges' direction; only
// what has no edge in the piece is asked whether it holds the mid-point, which
// then lies well inside or well outside.
func (c *coverer) along(p region.Piece) sides {
	board := c.spread(p, panelEdge, c.panelTree, c.outlines)
	open := c.spread(p, windowEdge, c.windowTree, c.openings)
	for side := range board {
		board[side] = slices.DeleteFunc(board[side], func(b cover) bool { return c.taken(b.index, open[side]) })
	}
	return board
}

// spread lists, by side, the outlines of one role that have their inside
// along the piece.
func (c *coverer) spread(p region.Piece, r role, tree *boxTree, outlines []geom.Path) sides {
	var out sides
	for _, u := range p.Uses {
		o := c.owners[u.Curve]
		if o.role != r {
			continue
		}
		side := leftSide
		if u.Reversed {
			side = rightSide
		}
		if !out.has(side, o.index) {
			out[side] = append(out[side], cover{o.index, true})
		}
	}
	edges := [2]int{len(out[leftSide]), len(out[rightSide])}
	mid := p.At(0.5)
	tree.holding(mid, func(i int) {
		if out.has(leftSide, i) || out.has(rightSide, i) || !outlines[i].Holds(mid) {
			return
		}
		out[leftSide] = append(out[leftSide], cover{index: i})
		out[rightSide] = append(out[rightSide], cover{index: i})
	})
	for side, n := range edges {
		slices.SortFunc(out[side][n:], func(a, b cover) int { return a.index - b.index })
	}
	return out
}

// taken reports whether one of the open windows takes the panel's board, and
// notes that they found board to take.
func (c *coverer) taken(panel int, open []cover) bool {
	gone := false
	for _, w := range open {
		if !hangsIn(c.panels[panel], c.windows[w.index]) {
			c.onBoard[w.index] = true
			gone = true
		}
	}
	return gone
}
