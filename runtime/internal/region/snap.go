package region

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// snapCell is the side in mm of the square cells that points are hashed by:
	// several tolerances, so that most look-ups touch one cell.
	snapCell = 16 * geom.SnapTolerance

	// maxNodeSpan is how wide and how high in mm a node may be. Corners of several
	// panels that meet may miss each other by about a tolerance one after another;
	// three such steps are allowed.
	maxNodeSpan = 3 * geom.SnapTolerance
)

type cell struct{ x, y int64 }

// key mixes a cell into one number, which maps hash faster than two (the
// finisher of SplitMix64: Steele, Lea and Flood, 2014). Two cells may have one
// key: whoever finds a point by it compares the point itself.
func (c cell) key() uint64 {
	k := uint64(c.x)*0x9e3779b97f4a7c15 + uint64(c.y)
	k = (k ^ k>>30) * 0xbf58476d1ce4e5b9
	k = (k ^ k>>27) * 0x94d049bb133111eb
	return k ^ k>>31
}

// cellAt is the cell that a point lies in. The offset, no simple fraction, keeps
// round coordinates, which most drawings consist of, away from the cells' borders.
func cellAt(x, y float64) cell {
	const offset = 0.3717
	return cell{int64(math.Floor(x/snapCell + offset)), int64(math.Floor(y/snapCell + offset))}
}

// snapper groups points within geom.SnapTolerance of each other into nodes. index
// keeps points that differ by no more than rounding, sameEnd, once; merge then
// joins points that are near each other, the nearest pairs first, as
// single-linkage clustering does with a bound on a cluster's size.
//
// What it keeps: no node is wider or higher than maxNodeSpan; the points of a node
// are linked by steps of at most geom.SnapTolerance; two points within that
// of each other are in different nodes only if one node of both would be too
// large. By tolerance throughout. Time is linear in points and close pairs but for
// the sort of the pairs.
type snapper struct {
	points []geom.Point
	next   []int32          // the point before this one in the same cell, or −1
	first  map[uint64]int32 // by the key of a cell, the last point in it
	near   []closePair
	parent []int32    // disjoint-set forest: a point of the same node with no higher number
	box    []geom.Box // of the points in a node, at the node's root
}

// closePair is two points, a < b, that are geom.SnapTolerance apart or less.
type closePair struct {
	a, b int32
	dist float64
}

func newSnapper(points int) *snapper {
	return &snapper{
		points: make([]geom.Point, 0, points), next: make([]int32, 0, points), first: make(map[uint64]int32, points/2),
		parent: make([]int32, 0, points), box: make([]geom.Box, 0, points),
	}
}

// index is the number of p, or of the first point kept that it differs from by
// rounding only. Pairs of p with other points near it go to near.
func (w *snapper) index(p geom.Point) int32 {
	found := len(w.near)
	lo := cellAt(p.X-geom.SnapTolerance, p.Y-geom.SnapTolerance)
	hi := cellAt(p.X+geom.SnapTolerance, p.Y+geom.SnapTolerance)
	for x := lo.x; x <= hi.x; x++ {
		for y := lo.y; y <= hi.y; y++ {
			k, ok := w.first[cell{x, y}.key()]
			for ; ok && k >= 0; k = w.next[k] {
				switch d := w.points[k].Dist(p); {
				case d <= sameEnd:
					w.near = w.near[:found]
					return k
				case d <= geom.SnapTolerance:
					w.near = append(w.near, closePair{k, int32(len(w.points)), d})
				}
			}
		}
	}
	return w.add(p)
}

func (w *snapper) add(p geom.Point) int32 {
	k, c := int32(len(w.points)), cellAt(p.X, p.Y).key()
	after, ok := w.first[c]
	if !ok {
		after = -1
	}
	w.points, w.next = append(w.points, p), append(w.next, after)
	w.parent, w.box = append(w.parent, k), append(w.box, geom.Box{Min: p, Max: p})
	w.first[c] = k
	return k
}

// merge makes nodes of near points, as far as they stay within maxNodeSpan. Ties
// in distance go by number, so that the result depends on the input alone.
func (w *snapper) merge() {
	slices.SortFunc(w.near, func(p, q closePair) int {
		return cmp.Or(cmp.Compare(p.dist, q.dist), cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	for _, p := range w.near {
		a, b := w.root(p.a), w.root(p.b)
		both := w.box[a].Union(w.box[b])
		if a != b && max(both.Width(), both.Height()) <= maxNodeSpan {
			a, b = min(a, b), max(a, b)
			w.parent[b], w.box[a] = a, both
		}
	}
}

// root is the first point of the node that point k belongs to. Paths are halved
// on the way (Tarjan and van Leeuwen, 1984), which keeps them short.
func (w *snapper) root(k int32) int32 {
	for w.parent[k] != k {
		w.parent[k] = w.parent[w.parent[k]]
		k = w.parent[k]
	}
	return k
}

// snap groups the vertices into nodes: of[v] is the node of vertex v, an index
// into nodes. A node lies at the seat of the first of its vertices. Vertices on
// arcs are numbered before all others, so that nodes lie on them: a line can
// follow a moved end, an arc can only by leaving its circle. Which vertices
// belong together goes by where they were drawn and not by their seats, since
// two ends in one place may have seats on two arcs.
func (s *splitter) snap() (nodes []geom.Point, of []int32) {
	w := newSnapper(len(s.vertices))
	nodes, of = make([]geom.Point, 0, len(s.vertices)), make([]int32, len(s.vertices))
	for _, arcs := range [...]bool{true, false} {
		for i, v := range s.vertices {
			if v.onArc != arcs {
				continue
			}
			of[i] = w.index(v.drawn)
			if int(of[i]) == len(nodes) {
				nodes = append(nodes, v.seat)
			}
		}
	}
	w.merge()
	for i, k := range of {
		of[i] = w.root(k)
	}
	return nodes, of
}
