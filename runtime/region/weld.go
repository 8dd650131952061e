package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// weldCell is the side of the cells that nodes are hashed by: several welds,
// so that most look-ups touch one cell.
const weldCell = 16 * geom.Weld

type cell struct{ x, y int64 }

// welder joins points within geom.Weld of each other. Every point goes to the
// nearest node already there, or becomes one; so no point moves further than a
// weld and nodes lie more than a weld apart.
type welder struct {
	nodes []geom.Point
	next  []int32 // next node in the same cell, or −1
	first map[cell]int32
}

// cellAt hashes a point. The odd fraction keeps round coordinates, of which
// drawings are full, away from the cells' rims.
func cellAt(x, y float64) cell {
	const offset = 0.3717
	return cell{int64(math.Floor(x/weldCell + offset)), int64(math.Floor(y/weldCell + offset))}
}

func (w *welder) node(p geom.Point) int32 {
	lo := cellAt(p.X-geom.Weld, p.Y-geom.Weld)
	hi := cellAt(p.X+geom.Weld, p.Y+geom.Weld)
	best, dist := int32(-1), geom.Weld
	for x := lo.x; x <= hi.x; x++ {
		for y := lo.y; y <= hi.y; y++ {
			k, ok := w.first[cell{x, y}]
			for ; ok && k >= 0; k = w.next[k] {
				if d := w.nodes[k].Dist(p); d < dist || d == dist && (best < 0 || k < best) {
					best, dist = k, d
				}
			}
		}
	}
	if best < 0 {
		best = w.add(p)
	}
	return best
}

func (w *welder) add(p geom.Point) int32 {
	k, c := int32(len(w.nodes)), cellAt(p.X, p.Y)
	after, ok := w.first[c]
	if !ok {
		after = -1
	}
	w.nodes, w.next = append(w.nodes, p), append(w.next, after)
	w.first[c] = k
	return k
}

// weld gives each vertex its node. Vertices on arcs go first and so stay where
// they are: a line can follow a moved end, an arc cannot without bending.
func (s *splitter) weld() (nodes []geom.Point, of []int32) {
	w := &welder{first: make(map[cell]int32, len(s.place)/2)}
	of = make([]int32, len(s.place))
	for _, arcs := range [...]bool{true, false} {
		for v, p := range s.place {
			if s.onArc[v] == arcs {
				of[v] = w.node(p)
			}
		}
	}
	return w.nodes, of
}
