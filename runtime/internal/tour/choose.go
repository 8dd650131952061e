package tour

import (
	"context"
	"math"
)

// choose gives every task the start, and open ones the sense, with which the way
// in its present sequence is shortest, by dynamic programming along it: the least
// length up to each way of doing the task at a position follows from those of the
// task before. The round is cut at the depot, or at the task with fewest ways, each
// of which is tried. Where the present starts are as good, they stay.
func (r *route) choose(ctx context.Context) error {
	n := len(r.seq)
	cut := 0
	for i := range n {
		if r.ways(r.task(i)) < r.ways(r.task(cut)) || r.task(i) == r.depot {
			cut = i
		}
	}
	c := chain{route: r, cut: cut, offset: make([]int32, n+1)}
	for k := range n {
		c.offset[k+1] = c.offset[k] + r.ways(c.step(k))
	}
	c.from = make([]int32, c.offset[n])
	var best []int32
	least := r.length() - leastGain
	for w := range r.ways(c.step(0)) {
		l, err := c.run(ctx, w)
		if err != nil {
			return err
		}
		if l < least {
			least, best = l, c.trace(best[:0])
		}
	}
	for k, w := range best {
		r.setWay(c.step(k), w)
	}
	return nil
}

// length is that of the whole round.
func (r *route) length() float64 {
	var sum float64
	for _, s := range r.seq {
		sum += r.gap(r.beside(s), s)
	}
	return sum
}

// ways is in how many ways a task can be done: an open one forth and back, the
// depot as it is.
func (r *route) ways(t int32) int32 {
	if t == r.depot {
		return 1
	}
	first, end := r.starts(t)
	return end - first
}

// exit is the point at which a task is left that is entered at the point in.
func (r *route) exit(t, in int32) int32 {
	if r.open[t] {
		return 2*r.first[t] + 1 - in
	}
	return in
}

// setWay does a task in its w-th way, and notes what changes.
func (r *route) setWay(t, w int32) {
	switch {
	case t == r.depot:
	case r.open[t]:
		if r.in(t).second() != (w == 1) {
			r.turn(r.pos[t], r.pos[t])
		}
	default:
		if point := r.first[t] + w; r.at[sideOf(t)] != point {
			r.start(t, point)
		}
	}
}

// chain is the tables of the dynamic programme, by step k from the cut on.
type chain struct {
	*route
	cut    int
	offset []int32   // by step, where its ways begin in from
	from   []int32   // by way, the best way of the step before
	last   int32     // the best way of the last step
	cost   []float64 // by way of the present step, the least length up to it
	before []float64 // the same of the step before
}

// step is the task done at step k.
func (c *chain) step(k int) int32 {
	if k += c.cut; k >= len(c.seq) {
		k -= len(c.seq)
	}
	return c.task(k)
}

// run fills the tables with the task of step 0 done in way w and gives the length
// of the round.
func (c *chain) run(ctx context.Context, w int32) (float64, error) {
	n := len(c.seq)
	t := c.step(0)
	in, out := c.first[t]+w, c.exit(t, c.first[t]+w)
	if t == c.depot {
		in, out = c.depotPoints()
	}
	if n == 1 {
		return c.between(out, in), nil
	}
	c.cost = c.cost[:0]
	first, end := c.starts(c.step(1))
	for i := first; i < end; i++ {
		c.cost = append(c.cost, c.between(out, i))
		c.from[c.offset[1]+i-first] = w
	}
	for k := 2; k < n; k++ {
		if k%looks == 0 && ctx.Err() != nil {
			return 0, context.Cause(ctx)
		}
		c.advance(k)
	}
	least := math.Inf(1)
	t = c.step(n - 1)
	for v, sum := range c.cost {
		if l := sum + c.between(c.exit(t, c.first[t]+int32(v)), in); l < least {
			least, c.last = l, int32(v)
		}
	}
	return least, nil
}

// depotPoints is where the depot is entered and left, nowhere for free ends.
func (c *chain) depotPoints() (in, out int32) {
	point := func(s side) int32 {
		if s >= c.free {
			return nowhere
		}
		return c.at[s]
	}
	return point(c.in(c.depot)), point(c.out(c.depot))
}

// between is the distance of two points, 0 from nowhere.
func (c *chain) between(a, b int32) float64 {
	if a == nowhere || b == nowhere {
		return 0
	}
	return dist(c.points[a], c.points[b])
}

// advance fills the tables of step k from those of the step before.
func (c *chain) advance(k int) {
	c.before, c.cost = c.cost, c.before[:0]
	t, p := c.step(k), c.step(k-1)
	first, end := c.starts(t)
	for i := first; i < end; i++ {
		least, from := math.Inf(1), int32(0)
		for u, sum := range c.before {
			if l := sum + dist(c.points[c.exit(p, c.first[p]+int32(u))], c.points[i]); l < least {
				least, from = l, int32(u)
			}
		}
		c.cost = append(c.cost, least)
		c.from[c.offset[k]+i-first] = from
	}
}

// trace appends the ways by step, found backwards from the last.
func (c *chain) trace(ways []int32) []int32 {
	n := len(c.seq)
	ways = append(ways, make([]int32, n)...)
	w := c.last
	for k := n - 1; k >= 0; k-- {
		ways[k] = w
		w = c.from[c.offset[k]+w]
	}
	return ways
}
