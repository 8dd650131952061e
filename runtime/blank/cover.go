package blank

import (
	"slices"

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
	panelRims, windowRims *shapes
	onBoard               []bool // by window: there is board to take under it
}

func newCoverer(s *sources, arr *region.Arrangement) *coverer {
	return &coverer{
		sources:    s,
		panelRims:  newShapes(s, arr, panelEdge, len(s.panels)),
		windowRims: newShapes(s, arr, windowEdge, len(s.windows)),
		onBoard:    make([]bool, len(s.windows)),
	}
}

// along is the board left on either side of a piece.
func (c *coverer) along(p region.Piece) sides {
	board, open := c.panelRims.along(p), c.windowRims.along(p)
	for side := range board {
		board[side] = slices.DeleteFunc(board[side], func(b cover) bool { return c.taken(b.index, open[side]) })
	}
	return board
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
