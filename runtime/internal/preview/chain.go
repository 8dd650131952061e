package preview

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// sameStation in mm is how close two places along an axis are measured as one: half
// the last digit of a figure.
const sameStation = 0.005

// mostChains is how many chains an axis has at most; sizes that none of them tells
// stand in the list of panels.
const mostChains = 4

// mostTriedRuns bounds the time of blanks with thousands of panels alike.
const mostTriedRuns = 4 * mostChains

// chain is a run of panels along an axis, each joined to the next by a straight
// hinge square to it, so that every stretch between two stops is one panel's extent
// and none spans a crease of the run.
type chain struct {
	stops []float64  // in the blank's frame, rising; one more than there are panels
	reach []geom.Box // by stop, round the panels that end there
}

// boardBoxes are the boxes round each region's board in the blank's frame; round the
// panel's outline where the board could not be traced.
func boardBoxes(b *blank.Blank) []geom.Box {
	out := make([]geom.Box, len(b.Regions))
	for i, s := range b.Regions {
		box := geom.EmptyBox()
		for _, r := range s.Rings {
			for _, c := range r {
				box = box.Union(c.Bounds())
			}
		}
		if box.Empty() {
			for _, e := range s.Panel.Outline.Edges {
				box = box.Union(e.Curve.Transform(s.Panel.Flat).Bounds())
			}
		}
		out[i] = box
	}
	return out
}

// chainer finds the chains of one axis. Panels are known by their place in
// Blank.Regions.
type chainer struct {
	boxes []geom.Box
	lo    []float64
	hi    []float64
	next  [][2]int // pairs of panels joined, the one with the lower stations first
	told  []bool   // panels whose extent a chain has, or that of another at the same stations
	order []int    // by lower station
}

// chains lists the runs of panels along the axis: first the one that tells most
// extents, then the next with what is still untold, without what it would repeat at
// its ends. A panel alone is no run, and of what is left of one no more than a panel is
// told that is as large as one before.
func (a axis) chains(b *blank.Blank, boxes []geom.Box) []chain {
	c := newChainer(a, b, boxes)
	var out []chain
	for tried := 0; len(out) < mostChains && tried < mostTriedRuns; tried++ {
		run := c.longest()
		if len(run) < 2 {
			break
		}
		k := c.tell(c.trim(run))
		if len(k.stops) > 2 || !repeats(out, k.stops[1]-k.stops[0]) {
			out = append(out, k)
		}
	}
	return out
}

// repeats reports whether some chain has a stretch of a length.
func repeats(chains []chain, length float64) bool {
	for _, k := range chains {
		for i := 1; i < len(k.stops); i++ {
			if math.Abs(k.stops[i]-k.stops[i-1]-length) < sameStation {
				return true
			}
		}
	}
	return false
}

// newChainer gathers the extents of panels along the axis and the hinges square to it
// that join the ends of two.
func newChainer(a axis, b *blank.Blank, boxes []geom.Box) *chainer {
	n := len(b.Regions)
	c := &chainer{boxes: boxes, told: make([]bool, n), order: make([]int, n)}
	ends := make([]float64, 2*n)
	c.lo, c.hi = ends[:n:n], ends[n:]
	at := make(map[*model.Panel]int, n)
	for i, box := range boxes {
		c.lo[i], _ = a.split(box.Min)
		c.hi[i], _ = a.split(box.Max)
		at[b.Regions[i].Panel] = i
		c.order[i] = i
	}
	slices.SortStableFunc(c.order, func(i, j int) int { return cmp.Compare(c.lo[i], c.lo[j]) })
	for _, h := range b.Hinges {
		s, ok := a.station(h)
		if !ok {
			continue
		}
		p, child := at[h.Hinge.Parent], at[h.Hinge.Child]
		switch {
		case c.meet(p, child, s):
			c.next = append(c.next, [2]int{p, child})
		case c.meet(child, p, s):
			c.next = append(c.next, [2]int{child, p})
		}
	}
	slices.SortStableFunc(c.next, func(p, q [2]int) int { return cmp.Compare(c.lo[p[1]], c.lo[q[1]]) })
	return c
}

// station is the place along the axis of a straight hinge square to it.
func (a axis) station(h blank.HingeLine) (float64, bool) {
	if len(h.Curves) == 0 {
		return 0, false
	}
	at, _ := a.split(h.Curves[0].P)
	for _, c := range h.Curves {
		p, _ := a.split(c.P)
		q, _ := a.split(c.Q)
		if c.Kind != geom.Line || math.Abs(p-at) > geom.SnapTolerance || math.Abs(q-at) > geom.SnapTolerance {
			return 0, false
		}
	}
	return at, true
}

// meet reports whether panel i ends and panel j begins at a station.
func (c *chainer) meet(i, j int, s float64) bool {
	return math.Abs(c.hi[i]-s) < sameStation && math.Abs(c.lo[j]-s) < sameStation
}

// longest is the run with most untold panels, the longest of those, by dynamic
// programming over the panels in the order of their stations.
func (c *chainer) longest() []int {
	n := len(c.lo)
	count, length, from := make([]int, n), make([]float64, n), make([]int, n)
	for i := range n {
		from[i] = -1
		length[i] = c.hi[i] - c.lo[i]
		if !c.told[i] {
			count[i] = 1
		}
	}
	for _, l := range c.next { // by the station of the second, so the first is settled
		i, j := l[0], l[1]
		own, size := 0, c.hi[j]-c.lo[j]
		if !c.told[j] {
			own = 1
		}
		if k, len := count[i]+own, length[i]+size; k > count[j] || k == count[j] && len > length[j]+sameStation {
			count[j], length[j], from[j] = k, len, i
		}
	}
	best := -1
	for _, i := range c.order {
		if count[i] > 0 && (best < 0 || count[i] > count[best] || count[i] == count[best] && length[i] > length[best]+sameStation) {
			best = i
		}
	}
	var run []int
	for i := best; i >= 0; i = from[i] {
		run = append(run, i)
	}
	slices.Reverse(run)
	return run
}

// trim leaves told panels out at both ends of a run.
func (c *chainer) trim(run []int) []int {
	for c.told[run[0]] {
		run = run[1:]
	}
	for c.told[run[len(run)-1]] {
		run = run[:len(run)-1]
	}
	return run
}

// tell makes a chain of a run, and marks the panels whose extents it has.
func (c *chainer) tell(run []int) chain {
	k := chain{stops: make([]float64, 0, len(run)+1), reach: make([]geom.Box, len(run)+1)}
	k.stops = append(k.stops, c.lo[run[0]])
	k.reach[0] = geom.EmptyBox()
	for n, i := range run {
		k.stops = append(k.stops, c.hi[i])
		k.reach[n+1] = geom.EmptyBox()
		for j := range c.told {
			if math.Abs(c.lo[i]-c.lo[j]) < sameStation && math.Abs(c.hi[i]-c.hi[j]) < sameStation {
				c.told[j] = true
				k.reach[n] = k.reach[n].Union(c.boxes[j])
				k.reach[n+1] = k.reach[n+1].Union(c.boxes[j])
			}
		}
	}
	return k
}
