package blank

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
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

func newCoverer(ctx context.Context, s *sources, arr *region.Arrangement) *coverer {
	return &coverer{
		sources:    s,
		panelRims:  newShapes(ctx, s, arr, panelEdge, len(s.panels)),
		windowRims: newShapes(ctx, s, arr, windowEdge, len(s.windows)),
		onBoard:    make([]bool, len(s.windows)),
	}
}

// along is the board left on either side of a piece. Windows with an edge there
// come first; of those right across only as many are asked as it takes to
// leave no board: where hundreds overlap, the first will do.
func (c *coverer) along(p region.Piece) sides {
	board, edges := c.panelRims.along(p), c.windowRims.beside(p)
	left := board
	for side, windows := range edges {
		for _, w := range windows {
			left[side] = c.without(left[side], board[side], w.index)
		}
	}
	if left.bare(leftSide) && left.bare(rightSide) {
		return left
	}
	c.windowRims.across(p.At(0.5), &edges, func(w int) bool {
		for side := range left {
			left[side] = c.without(left[side], left[side], w)
		}
		return !left.bare(leftSide) || !left.bare(rightSide)
	})
	return left
}

// without is what a window takes from what is left of the board on one side,
// and notes that it found some of it to take.
func (c *coverer) without(left, board []cover, window int) []cover {
	takes := func(b cover) bool { return !hangsIn(c.panels[b.index], c.windows[window]) }
	if !slices.ContainsFunc(board, takes) {
		return left
	}
	c.onBoard[window] = true
	return slices.DeleteFunc(slices.Clone(left), takes)
}

// settle finds out about windows that no piece of line was asked about in
// vain: with no edge on any board they hold whole panels or nothing.
func (c *coverer) settle(ctx context.Context) {
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
