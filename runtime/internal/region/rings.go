package region

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// HalfEdge is an edge of an arrangement, by its number, with a direction of travel.
type HalfEdge struct {
	Edge     int
	Reversed bool
}

// TouchRule says how Rings passes a node at which a boundary touches itself, that
// is, where more than two of the given half-edges meet.
type TouchRule bool

// At such a node either the holes that touch there stay separate rings, and
// so do a hole and the outer boundary, or the parts of the region do.
const (
	SeparateHoles   TouchRule = false
	SeparateRegions TouchRule = true
)

// Curve is the geometry of a half, in its direction.
func (a *Arrangement) Curve(h HalfEdge) geom.Curve {
	c := a.Edges[h.Edge].Curve
	if h.Reversed {
		return c.Reverse()
	}
	return c
}

// Curves is the geometry of a chain of halves.
func (a *Arrangement) Curves(ring []HalfEdge) []geom.Curve {
	cs := make([]geom.Curve, len(ring))
	for i, h := range ring {
		cs[i] = a.Curve(h)
	}
	return cs
}

// Ends are the nodes a half runs between.
func (a *Arrangement) Ends(h HalfEdge) (from, to int) {
	p := &a.Edges[h.Edge]
	if h.Reversed {
		return p.To, p.From
	}
	return p.From, p.To
}

// Rings traces closed boundaries through halves that have the region on their
// left: outer contours come out counter-clockwise, holes clockwise. Each ring
// starts with the first of its halves as given, and rings come in that order.
// Halves that do not close are an error that says where the gap is. Time depends
// on the halves alone, not on the size of the arrangement.
func (a *Arrangement) Rings(halves []HalfEdge, touching TouchRule) ([][]HalfEdge, error) {
	next, err := a.successors(halves, touching)
	if err != nil {
		return nil, err
	}
	var rings [][]HalfEdge
	done := make([]bool, len(halves))
	all := make([]HalfEdge, 0, len(halves)) // the rings one after another
	for k := range halves {
		from := len(all)
		for ; !done[k]; k = next[k] {
			done[k] = true
			all = append(all, halves[k])
		}
		if to := len(all); to > from {
			rings = append(rings, all[from:to:to])
		}
	}
	return rings, nil
}

// arrival is one end of a half, at a node.
type arrival struct {
	node, half int
	out        bool // the half leaves the node
}

// successors pairs each half with the one that continues it.
func (a *Arrangement) successors(halves []HalfEdge, touching TouchRule) ([]int, error) {
	ends := make([]arrival, 0, 2*len(halves))
	for k, h := range halves {
		from, to := a.Ends(h)
		ends = append(ends, arrival{from, k, true}, arrival{to, k, false})
	}
	slices.SortStableFunc(ends, func(x, y arrival) int { return cmp.Compare(x.node, y.node) })
	next := make([]int, len(halves))
	var in, out []int
	for len(ends) > 0 {
		node := ends[0].node
		in, out, ends = splitNode(ends, in[:0], out[:0])
		switch p := a.Nodes[node]; {
		case len(in) != len(out):
			return nil, fmt.Errorf("the boundary does not close at (%s, %s): %d pieces arrive and %d leave",
				geom.Num(p.X), geom.Num(p.Y), len(in), len(out))
		case len(in) == 1:
			next[in[0]] = out[0]
		default:
			a.joinAt(halves, in, out, touching, next)
		}
	}
	return next, nil
}

// splitNode takes the ends at the first node off a list sorted by node and
// appends the halves that arrive there to in and those that leave to out.
func splitNode(ends []arrival, in, out []int) (_, _ []int, rest []arrival) {
	node := ends[0].node
	for len(ends) > 0 && ends[0].node == node {
		if ends[0].out {
			out = append(out, ends[0].half)
		} else {
			in = append(in, ends[0].half)
		}
		ends = ends[1:]
	}
	return in, out, ends
}

// joinAt writes to next which leaving half-edge continues each arriving one at a
// node where several arrive. With the region on the left of every half-edge, the
// wedge counter-clockwise of an arriving one, up to the next leaving one, lies
// outside the region, and the wedge from a leaving one to the next arriving one
// inside. So the next leaving one counter-clockwise keeps holes apart, and the
// next clockwise keeps parts of the region apart.
//
// Arriving and leaving half-edges alternate where the half-edges bound a region.
// Where snapping has crossed two of them over, by less than its
// tolerance, two leaving ones may follow each other; then the nearest that is
// left is taken, so that every half-edge has one successor and the rings close
// all the same.
func (a *Arrangement) joinAt(halves []HalfEdge, in, out []int, touching TouchRule, next []int) {
	rays := a.rays(halves, in, out)
	step := 1
	if touching == SeparateRegions {
		step = -1
	}
	n := len(rays)
	taken := make([]bool, n)
	for i := range rays {
		if rays[i].out {
			continue
		}
		for j := (i + step + n) % n; ; j = (j + step + n) % n {
			if rays[j].out && !taken[j] {
				taken[j] = true
				next[rays[i].half] = rays[j].half
				break
			}
		}
	}
}

// rays lists the ends at a node in counter-clockwise order.
func (a *Arrangement) rays(halves []HalfEdge, in, out []int) []ray {
	rays := make([]ray, 0, len(in)+len(out))
	for _, k := range in {
		rays = append(rays, ray{half: k, curve: a.Curve(halves[k]).Reverse()})
	}
	for _, k := range out {
		rays = append(rays, ray{half: k, out: true, curve: a.Curve(halves[k])})
	}
	sortRays(rays)
	return rays
}
