package region

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// weldCell is the side of the cells that points are hashed by: several
	// welds, so that most look-ups touch one cell.
	weldCell = 16 * geom.SnapTolerance

	// weldSpan is how wide and how high a node may be: points tied one to the
	// next by less than a weld, as corners of several panels are that miss each
	// other by about a weld, become one node up to here.
	weldSpan = 3 * geom.SnapTolerance
)

type cell struct{ x, y int64 }

// key mixes a cell into one number, for maps to be quick (the finisher of
// SplitMix64: Steele, Lea and Flood, 2014). Cells may share one: what is found
// by it has to be looked at anyway.
func (c cell) key() uint64 {
	k := uint64(c.x)*0x9e3779b97f4a7c15 + uint64(c.y)
	k = (k ^ k>>30) * 0xbf58476d1ce4e5b9
	k = (k ^ k>>27) * 0x94d049bb133111eb
	return k ^ k>>31
}

// cellAt hashes a point. The odd fraction keeps round coordinates, of which
// drawings are full, away from the cells' rims.
func cellAt(x, y float64) cell {
	const offset = 0.3717
	return cell{int64(math.Floor(x/weldCell + offset)), int64(math.Floor(y/weldCell + offset))}
}

// welder joins points within geom.SnapTolerance of each other into nodes. It first
// tells spots apart, points that differ by more than rounding, and then ties
// spots that are near each other, the nearest pairs first.
type welder struct {
	spots []geom.Point
	next  []int32          // next spot in the same cell, or −1
	first map[uint64]int32 // by cell
	near  []pairOfSpots
	lead  []int32    // union-find: a spot of the same node that came no later
	box   []geom.Box // of the node a spot leads
}

// pairOfSpots is two spots at most a weld apart.
type pairOfSpots struct {
	a, b int32
	dist float64
}

func newWelder(points int) *welder {
	return &welder{
		spots: make([]geom.Point, 0, points), next: make([]int32, 0, points), first: make(map[uint64]int32, points/2),
		lead: make([]int32, 0, points), box: make([]geom.Box, 0, points),
	}
}

// spot is the number of the spot that p lies on.
func (w *welder) spot(p geom.Point) int32 {
	found := len(w.near)
	lo := cellAt(p.X-geom.SnapTolerance, p.Y-geom.SnapTolerance)
	hi := cellAt(p.X+geom.SnapTolerance, p.Y+geom.SnapTolerance)
	for x := lo.x; x <= hi.x; x++ {
		for y := lo.y; y <= hi.y; y++ {
			k, ok := w.first[cell{x, y}.key()]
			for ; ok && k >= 0; k = w.next[k] {
				switch d := w.spots[k].Dist(p); {
				case d <= sameEnd:
					w.near = w.near[:found]
					return k
				case d <= geom.SnapTolerance:
					w.near = append(w.near, pairOfSpots{k, int32(len(w.spots)), d})
				}
			}
		}
	}
	return w.add(p)
}

func (w *welder) add(p geom.Point) int32 {
	k, c := int32(len(w.spots)), cellAt(p.X, p.Y).key()
	after, ok := w.first[c]
	if !ok {
		after = -1
	}
	w.spots, w.next = append(w.spots, p), append(w.next, after)
	w.lead, w.box = append(w.lead, k), append(w.box, geom.Box{Min: p, Max: p})
	w.first[c] = k
	return k
}

// tie makes nodes of near spots, as far as they stay within weldSpan.
func (w *welder) tie() {
	slices.SortFunc(w.near, func(p, q pairOfSpots) int {
		return cmp.Or(cmp.Compare(p.dist, q.dist), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	for _, p := range w.near {
		a, b := w.node(p.a), w.node(p.b)
		both := w.box[a].Union(w.box[b])
		if a != b && max(both.Width(), both.Height()) <= weldSpan {
			a, b = min(a, b), max(a, b)
			w.lead[b], w.box[a] = a, both
		}
	}
}

// node is the first spot of the node that spot k belongs to.
func (w *welder) node(k int32) int32 {
	for w.lead[k] != k {
		w.lead[k] = w.lead[w.lead[k]]
		k = w.lead[k]
	}
	return k
}

// weld gives each vertex its node, which is where the first of its vertices
// sits. Vertices on arcs go first and so stay where they are: a line can follow
// a moved end, an arc cannot without bending. What belongs together is told by
// where the vertices were drawn: two ends in one place may sit on two arcs.
func (s *splitter) weld() (nodes []geom.Point, of []int32) {
	w := newWelder(len(s.vertices))
	nodes, of = make([]geom.Point, 0, len(s.vertices)), make([]int32, len(s.vertices))
	for _, arcs := range [...]bool{true, false} {
		for i, v := range s.vertices {
			if v.onArc != arcs {
				continue
			}
			of[i] = w.spot(v.drawn)
			if int(of[i]) == len(nodes) {
				nodes = append(nodes, v.seat)
			}
		}
	}
	w.tie()
	for i, k := range of {
		of[i] = w.node(k)
	}
	return nodes, of
}
