package preview

import (
	"math"
	"slices"
)

// viewSize is how large a view is drawn, and whether its second picture stands below
// the first or beside it.
type viewSize struct {
	step  int
	below bool
}

// view is a view laid out at a size, made once.
func (c *pageSearch) view(j int, at viewSize) *cell {
	if _, ok := c.views[j][at]; !ok {
		c.views[j][at] = viewCell(c.in, c.in.Views[j], at)
	}
	return c.views[j][at]
}

// sizesAt gives every view a step of scale, or a larger one of its own where it would
// come out smaller than leastView.
func (c *pageSearch) sizesAt(step int) []viewSize {
	out := make([]viewSize, len(c.in.Views))
	for j, v := range c.in.Views {
		out[j].step = ownStep(v.box(), step, leastView)
	}
	return out
}

// fill gives the room that is left beside the pictures of a page to the folded ones,
// the blanks staying as they are. Of the frames of the sheet that hold the same blanks the
// one is taken in which the smallest view comes out largest, or else all of them together,
// and of those alike the one found first.
func (c *pageSearch) fill(found *page) *page {
	if len(c.in.Views) == 0 || c.ctx.Err() != nil {
		return found
	}
	start := found.views
	c.grow(found)
	best := found
	for _, f := range frames(c.sheet) {
		if f == found.frame {
			continue
		}
		if p := c.setText(f); p != nil && c.setPictures(p, found.step, start) {
			if c.grow(p); c.larger(p, best) {
				best = p
			}
		}
	}
	return best
}

// larger reports whether a page shows the views larger than another.
func (c *pageSearch) larger(p, than *page) bool {
	least, most := [2]int{math.MaxInt, math.MaxInt}, [2]int{}
	for i, q := range []*page{p, than} {
		for j, v := range q.views {
			least[i] = min(least[i], c.paper(q, j))
			most[i] += v.step
		}
	}
	return least[0] > least[1] || least[0] == least[1] && most[0] > most[1]
}

// aboveBlank is by how many steps of scale a view may be larger than the blanks, which
// stay the main drawing.
const aboveBlank = 2

// grow enlarges the views step by step, always the one that takes up least paper,
// until none fits larger.
func (c *pageSearch) grow(p *page) {
	full := make([]bool, len(p.views))
	most := mostWanted(c.in)
	if len(c.in.Blanks) > 0 {
		most = min(most, p.step+aboveBlank)
	}
	for c.ctx.Err() == nil {
		least := -1
		for j := range p.views {
			if !full[j] && (least < 0 || c.paper(p, j) < c.paper(p, least)) {
				least = j
			}
		}
		if least < 0 {
			return
		}
		full[least] = p.views[least].step >= most || !c.enlarge(p, least)
	}
}

// enlarge draws a view at the next step of scale, if it fits.
func (c *pageSearch) enlarge(p *page, j int) bool {
	next := slices.Clone(p.views)
	for _, below := range []bool{false, true} {
		next[j] = viewSize{p.views[j].step + 1, below}
		if c.setPictures(p, p.step, next) {
			return true
		}
		if len(c.in.Views[j].Aspects) < 2 {
			break
		}
	}
	return false
}

// paper is the area that a view's first picture takes up, in whole mm², so that
// rounding cannot decide between two views of one size.
func (c *pageSearch) paper(p *page, j int) int {
	b, scale := c.in.Views[j].box(), scaleStep(p.views[j].step)
	return int(math.Round(exact(b.Width()*scale) * exact(b.Height()*scale)))
}
