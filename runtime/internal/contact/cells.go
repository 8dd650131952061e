package contact

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Stack is panels of a pose that lie over one another in one plane, or continue
// such panels in it.
//
// Cells do not overlap; together they cover the board of the panels seen along Out,
// less slivers under cellWidth. A Stack has two panels or more.
type Stack struct {
	Panels []int       // in order of making
	Out    geom.Point3 // the way out of the stack: the outward normal of the first panel, unit
	Cells  []Cell
	// Held is the layer that stays where the pose puts it when the others make
	// room: that of the panel made first where all that lies outside it hangs on
	// it or is joined to it, else the outermost.
	Held int
	// Tangle is why no order satisfies the joins and the creases, nil where one
	// does.
	Tangle *Tangle

	plane int // the panel whose frame the cells' parts are in
}

// Cell is a part of a stack's plane over which the same panels lie. Its parts
// may be apart.
// Spot is in the frame of the stack's plane, that of its first panel.
type Cell struct {
	Panels []int   // outermost first
	Area   float64 // mm²
	Spot   geom.Point

	parts []part
	whole bool // its panels are not all in another cell of the stack
}

// part is a trapezoid of a cell with two upright sides, in the frame of the
// stack's plane: corners counter-clockwise.
// Corners are lower left, lower right, upper right, upper left; an upright side may
// have no length, and the trapezoid is then a triangle.
type part [4]geom.Point

// cellWidth is the mean width, in mm, up to which a cell is nothing but what
// chords stray from the curves that two panels share.
const cellWidth = 2 * Flatten

// chord is one side of a board seen in the plane of a stack, from its left end
// to its right.
type chord struct {
	from, to geom.Point
	group    int // place in the list of groups being cut
}

// at is the chord's y over x, linear between the ends. Chords are never upright, so
// the quotient is finite.
func (c chord) at(x float64) float64 {
	return c.from.Y + (c.to.Y-c.from.Y)*(x-c.from.X)/(c.to.X-c.from.X)
}

// chordsOf lists the chords of some panels that are not upright, by their left
// ends, in the frame of panel plane. Chord k of the result belongs to the panel
// at that place in the list.
// Order is by x, then y of the left end, then group, as the sweep in cells needs it.
func (p *Posed) chordsOf(panels []int, plane int) []chord {
	var out []chord
	for g, i := range panels {
		s := &p.plates[i]
		m := s.onto(&p.plates[plane])
		for _, loop := range s.body.Loops {
			flat := laid(loop, m)
			for k, q := range flat {
				// Upright chords bound no trapezoid from below or above: the strips
				// beside them begin and end there anyway. Compared exactly.
				if r := flat[(k+1)%len(flat)]; q.X < r.X {
					out = append(out, chord{q, r, g})
				} else if r.X < q.X {
					out = append(out, chord{r, q, g})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b chord) int {
		return cmp.Or(cmp.Compare(a.from.X, b.from.X), cmp.Compare(a.from.Y, b.from.Y), cmp.Compare(a.group, b.group))
	})
	return out
}

// cutter cuts the plane of a stack into upright strips at every corner and
// crossing, and each strip into trapezoids between the chords over it (the
// trapezoidal decomposition of an arrangement of segments).
//
// A place is in the board of a group where an odd number of its chords runs below
// (the even-odd rule), so walking up a strip each chord turns its group on or off.
// The set of groups that are on is the cell; it is looked up by a 64-bit key, the
// sum without carry of one random word per group. Two sets of a stack of N cells
// share a key with a chance of about N²/2⁶⁵.
type cutter struct {
	plane  *plate
	groups [][]int // members, of each group that takes part
	in     []bool  // by group, over the place that is looked at
	key    uint64  // of the groups over it
	keys   []uint64
	cells  map[uint64]int
	out    []Cell
	open   map[bounds]int // trapezoids that reach the strip: place in the cell's parts
	next   map[bounds]int
}

// bounds is between which chords a trapezoid of a cell lies.
type bounds struct{ cell, low, high int }

// cells cuts the plane of a stack. Coincident panels are cut once.
//
// Which chords run over a strip, and in which order, is decided at its middle.
// That is by tolerance: stops lie at least geom.SnapTolerance apart, and chords do
// not cross between two of them, so that at the middle those that differ at all
// differ by more than rounding, or bound a sliver that is dropped.
//
// Panels of a cell are in order of making until ordering.finish sorts them. For n
// chords, k strips and w chords over a strip at most it takes n log n + k·w log w
// steps, and n² more in the worst case to find the crossings (stops).
func (p *Posed) cells(ctx context.Context, panels []int) ([]Cell, error) {
	var firsts []int
	c := &cutter{plane: &p.plates[panels[0]], cells: map[uint64]int{}, open: map[bounds]int{}, next: map[bounds]int{}}
	for _, i := range panels {
		if m := p.layers.members(i); m[0] == i {
			firsts = append(firsts, i)
			c.groups = append(c.groups, m)
			c.keys = append(c.keys, scramble(uint64(len(firsts))))
		}
	}
	c.in = make([]bool, len(firsts))
	chords := p.chordsOf(firsts, panels[0])
	xs, err := stops(ctx, chords)
	if err != nil {
		return nil, err
	}
	// Sweep over x: a chord joins when the strip's middle lies beyond its left end and leaves when
	// it lies beyond its right.
	var active []int
	first := 0
	for i := 1; i < len(xs); i++ {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		x := (xs[i-1] + xs[i]) / 2
		for ; first < len(chords) && chords[first].from.X < x; first++ {
			active = append(active, first)
		}
		active = slices.DeleteFunc(active, func(k int) bool { return chords[k].to.X <= x })
		c.strip(chords, active, xs[i-1], xs[i])
	}
	return c.done(), nil
}

// scramble spreads a number over all bits, so that the sum without carry of
// several tells which they are (Steele, Lea and Flood, "Fast splittable
// pseudorandom number generators", 2014; value from memory).
func scramble(n uint64) uint64 {
	n *= 0x9e3779b97f4a7c15
	n = (n ^ n>>30) * 0xbf58476d1ce4e5b9
	n = (n ^ n>>27) * 0x94d049bb133111eb
	return n ^ n>>31
}

// strip adds the trapezoids between two upright lines, over which the active
// chords run without meeting.
// active is sorted in place by height at the middle. A trapezoid whose mean height
// is within geom.SnapTolerance is left out, whatever its width.
func (c *cutter) strip(chords []chord, active []int, x0, x1 float64) {
	x := (x0 + x1) / 2
	// Ties, as of two panels with a common edge, are broken by number: the chord
	// between them has no height and strip leaves it out.
	slices.SortFunc(active, func(a, b int) int {
		return cmp.Or(cmp.Compare(chords[a].at(x), chords[b].at(x)), cmp.Compare(a, b))
	})
	for i, k := range active {
		g := chords[k].group
		c.in[g] = !c.in[g]
		c.key ^= c.keys[g]
		if c.key == 0 || i+1 == len(active) {
			continue
		}
		if low, high := &chords[k], &chords[active[i+1]]; high.at(x)-low.at(x) > geom.SnapTolerance {
			c.add(bounds{c.cell(), k, active[i+1]}, part{
				{X: x0, Y: low.at(x0)}, {X: x1, Y: low.at(x1)}, {X: x1, Y: high.at(x1)}, {X: x0, Y: high.at(x0)},
			})
		}
	}
	c.open, c.next = c.next, c.open
	clear(c.next)
}

// cell is the number of the cell of the groups that are in.
// Two sets of groups are told apart by key alone; see cutter.
func (c *cutter) cell() int {
	n, ok := c.cells[c.key]
	if !ok {
		n = len(c.out)
		c.cells[c.key] = n
		var panels []int
		for g, in := range c.in {
			if in {
				panels = append(panels, c.groups[g]...)
			}
		}
		slices.Sort(panels)
		c.out = append(c.out, Cell{Panels: panels})
	}
	return n
}

// add adds a trapezoid, to the one on its left where that lies between the same
// chords.
// Merging across strips leaves parts exact trapezoids: both are bounded by the same
// two chords, which are straight.
func (c *cutter) add(b bounds, t part) {
	cell := &c.out[b.cell]
	at, ok := c.open[b]
	if ok {
		cell.parts[at][1], cell.parts[at][2] = t[1], t[2]
	} else {
		at = len(cell.parts)
		cell.parts = append(cell.parts, t)
	}
	c.next[b] = at
}

// done gives the cells that are more than a chord's error wide, with their
// areas. Mean width is area over the longer side of the bounding box. The spot of a
// cell is the centroid of its largest trapezoid, so that it lies well inside;
// of trapezoids within Resolution the first.
func (c *cutter) done() []Cell {
	for i := range c.out {
		cell := &c.out[i]
		box, most := geom.EmptyBox(), 0.0
		for _, t := range cell.parts {
			area := polygon.Area(t[:])
			cell.Area += area
			if area > most+Resolution {
				most, cell.Spot = area, polygon.Centroid(t[:])
			}
			box = box.Union(geom.BoxOf(t[:]...))
		}
		if cell.Area <= cellWidth*max(box.Width(), box.Height()) {
			cell.parts = nil
		}
	}
	return slices.DeleteFunc(c.out, func(cell Cell) bool { return cell.parts == nil })
}
