package solid

import (
	"cmp"
	"container/heap"
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// clipper cuts a loop into triangles by clipping ears: a corner a, b, c that turns left and
// whose triangle, rims included, holds no other corner but at the places of its own three
// leaves a loop of one corner less. Every loop of at least four corners that does not
// cross itself has two ears (Meisters, Polygons have ears, 1975, value from memory), also
// where corners lie straight in line or a bridge is passed twice. A corner that
// turns left never keeps an ear from being one without another corner that does not, so
// only those are looked at; a clipped ear makes its neighbours' angles smaller, so they
// become fewer and never more.
//
// Whatever is clipped, n − 2 triangles come out that share their sides two by two and whose
// signed areas add up to the loop's, as each step takes a triangle with the sign of its
// turn off the loop. So the surface stays closed even where chords cross, by less than
// flatness, and a triangle is turned over.
type clipper struct {
	points     []geom.Point
	at         []int // by corner: its point
	prev, next []int // by corner
	gone       []bool
	open       []bool // by corner: it does not turn left
	ears       earHeap
	version    []int
	waiting    map[int][]int // by corner that does not turn left: ears that it keeps from being one
	grid       cornerGrid
	triangles  [][3]int
}

// newClipper prepares a loop of numbers of points.
func newClipper(points []geom.Point, loop []int) *clipper {
	n := len(loop)
	c := &clipper{
		points: points, at: loop, prev: make([]int, n), next: make([]int, n), gone: make([]bool, n),
		open: make([]bool, n), version: make([]int, n), waiting: map[int][]int{},
	}
	for k := range loop {
		c.prev[k], c.next[k] = (k+n-1)%n, (k+1)%n
	}
	var open []int
	for k := range loop {
		if c.open[k] = c.turn(k) <= 0; c.open[k] {
			open = append(open, k)
		}
	}
	c.grid = newCornerGrid(c, open)
	for k := range loop {
		c.offer(k)
	}
	return c
}

// place is where a corner lies.
func (c *clipper) place(k int) geom.Point { return c.points[c.at[k]] }

// turn is the sign of the turn at a corner.
func (c *clipper) turn(k int) int {
	return geom.Orient(c.place(c.prev[k]), c.place(k), c.place(c.next[k]))
}

// run clips until nothing is left. The error is the cause of the context's end.
func (c *clipper) run(ctx context.Context) error {
	for left := len(c.at); left > 2; left-- {
		if left%256 == 0 && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		c.clip(c.nextEar())
	}
	return nil
}

// nextEar is the ear with the shortest third side, which keeps triangles compact, or any
// corner that is left where chords that cross leave none.
func (c *clipper) nextEar() int {
	for c.ears.Len() > 0 {
		e := heap.Pop(&c.ears).(ear)
		if c.gone[e.corner] || e.version != c.version[e.corner] {
			continue
		}
		if by := c.blocker(e.corner); by >= 0 {
			c.waiting[by] = append(c.waiting[by], e.corner)
			continue
		}
		return e.corner
	}
	first := -1
	for k := range c.at {
		if c.gone[k] {
			continue
		}
		if !c.open[k] {
			return k
		}
		if first < 0 {
			first = k
		}
	}
	return first
}

// blocker is a corner in the triangle at a corner, or −1.
func (c *clipper) blocker(k int) int {
	i, j := c.prev[k], c.next[k]
	p, q, r := c.place(i), c.place(k), c.place(j)
	return c.grid.find(geom.BoxOf(p, q, r), func(o int) bool {
		if c.gone[o] || !c.open[o] || c.at[o] == c.at[i] || c.at[o] == c.at[k] || c.at[o] == c.at[j] {
			return false
		}
		s := c.place(o)
		return geom.Orient(p, q, s) >= 0 && geom.Orient(q, r, s) >= 0 && geom.Orient(r, p, s) >= 0
	})
}

// clip takes a corner off.
func (c *clipper) clip(k int) {
	i, j := c.prev[k], c.next[k]
	c.triangles = append(c.triangles, [3]int{c.at[i], c.at[k], c.at[j]})
	c.gone[k] = true
	c.next[i], c.prev[j] = j, i
	for _, n := range [...]int{i, j} {
		if c.open[n] && c.turn(n) > 0 {
			c.open[n] = false
			c.release(n)
		}
		c.version[n]++
		c.offer(n)
	}
	c.release(k)
}

// release offers the ears again that a corner was in the way of.
func (c *clipper) release(k int) {
	for _, e := range c.waiting[k] {
		c.offer(e)
	}
	delete(c.waiting, k)
}

// offer puts a corner on the heap if it turns left.
func (c *clipper) offer(k int) {
	if c.gone[k] || c.open[k] {
		return
	}
	d := c.place(c.next[k]).Sub(c.place(c.prev[k]))
	heap.Push(&c.ears, ear{k, c.version[k], d.Dot(d)})
}

// ear is a corner that may be one, as its neighbours stood then: a later version of the
// corner outdates it.
type ear struct {
	corner, version int
	across          float64 // the square of its third side
}

// earHeap has the shortest third side first, of equal ones the first corner.
type earHeap []ear

func (h earHeap) Len() int { return len(h) }
func (h earHeap) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(h[i].across, h[j].across), cmp.Compare(h[i].corner, h[j].corner)) < 0
}
func (h earHeap) Swap(i, j int) { h[i], h[j] = h[j], h[i] }
func (h *earHeap) Push(x any)   { *h = append(*h, x.(ear)) }
func (h *earHeap) Pop() any {
	last := (*h)[len(*h)-1]
	*h = (*h)[:len(*h)-1]
	return last
}

// cornerGrid finds corners in a box: square cells, about as many as there are corners.
type cornerGrid struct {
	box   geom.Box
	cell  float64
	nx    int
	ny    int
	cells [][]int
}

func newCornerGrid(c *clipper, corners []int) cornerGrid {
	g := cornerGrid{box: geom.EmptyBox()}
	for _, k := range corners {
		g.box = g.box.Add(c.place(k))
	}
	if len(corners) == 0 {
		return g
	}
	w, h := g.box.Max.X-g.box.Min.X, g.box.Max.Y-g.box.Min.Y
	g.cell = max(w, h, geom.Tiny) / math.Ceil(math.Sqrt(float64(len(corners))))
	g.nx, g.ny = int(w/g.cell)+1, int(h/g.cell)+1
	g.cells = make([][]int, g.nx*g.ny)
	for _, k := range corners {
		x, y := g.of(c.place(k))
		g.cells[y*g.nx+x] = append(g.cells[y*g.nx+x], k)
	}
	return g
}

// of is the cell of a point, the nearest one for points outside.
func (g *cornerGrid) of(p geom.Point) (x, y int) {
	within := func(v float64, n int) int { return int(min(max(v/g.cell, 0), float64(n-1))) }
	return within(p.X-g.box.Min.X, g.nx), within(p.Y-g.box.Min.Y, g.ny)
}

// find is the first corner in the cells of a box for which holds is true, or −1.
func (g *cornerGrid) find(b geom.Box, holds func(int) bool) int {
	if len(g.cells) == 0 || !g.box.Intersects(b) {
		return -1
	}
	x0, y0 := g.of(b.Min)
	x1, y1 := g.of(b.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			for _, k := range g.cells[y*g.nx+x] {
				if holds(k) {
					return k
				}
			}
		}
	}
	return -1
}
