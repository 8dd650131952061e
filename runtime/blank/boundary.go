package blank

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// maxBridge is the widest gap in mm that bridge spans. Lines that run about a snap
// tolerance apart can be snapped to different nodes at their ends, each of which may
// be moved a few times; that opens gaps of some tolerances. A wider gap has another
// cause and is reported.
const maxBridge = 16 * geom.SnapTolerance

// rings traces boundaries with their board on the left, each starting at the piece
// of line with the lowest number. They are traced in an arrangement of their own,
// since the whole one may be thousands of times their size. Boundaries that do not
// close are noted in unclosed and left out.
func (l *layout) rings(halves []region.HalfEdge) []Ring {
	small, local := l.subarrangement(halves)
	local = bridge(&small, local)
	traced, err := small.Rings(local, region.SeparateHoles)
	if err != nil {
		l.unclosed = append(l.unclosed, err)
		return nil
	}
	var out []Ring
	for i, ring := range traced {
		if ended(l.ctx, i) {
			return nil
		}
		var own []region.HalfEdge
		for _, h := range ring {
			if h.Edge < len(halves) {
				own = append(own, halves[h.Edge])
			}
		}
		if len(own) > 0 {
			out = append(out, closeGaps(l.join(l.startAtVertex(own))))
		}
	}
	return out
}

// subarrangement is an arrangement of some half-edges alone, and these in it: its
// edges are the half-edges in order, each in the direction of its half-edge.
func (l *layout) subarrangement(halves []region.HalfEdge) (region.Arrangement, []region.HalfEdge) {
	var small region.Arrangement
	local := make([]region.HalfEdge, len(halves))
	number := make(map[int]int, len(halves))
	node := func(n int) int {
		k, ok := number[n]
		if !ok {
			k = len(small.Nodes)
			number[n], small.Nodes = k, append(small.Nodes, l.Nodes[n])
		}
		return k
	}
	for i, h := range halves {
		if ended(l.ctx, i) {
			return region.Arrangement{}, nil
		}
		from, to := l.Ends(h)
		small.Edges = append(small.Edges, region.Edge{Curve: l.Curve(h), From: node(from), To: node(to)})
		local[i] = region.HalfEdge{Edge: i}
	}
	return small, local
}

// bridge closes gaps: it adds straight edges from nodes where more half-edges arrive
// than leave to the nearest ones where more leave than arrive. Where there is none
// within maxBridge it stops, and tracing reports the ring.
func bridge(small *region.Arrangement, halves []region.HalfEdge) []region.HalfEdge {
	surplus := make([]int, len(small.Nodes))
	for _, h := range halves {
		from, to := small.Ends(h)
		surplus[from]--
		surplus[to]++
	}
	for n := range surplus {
		for surplus[n] > 0 {
			to := nearestDeficit(small.Nodes, surplus, n)
			if to < 0 {
				return halves
			}
			surplus[n]--
			surplus[to]++
			halves = append(halves, region.HalfEdge{Edge: len(small.Edges)})
			line := geom.LineFrom(small.Nodes[n], small.Nodes[to])
			small.Edges = append(small.Edges, region.Edge{Curve: line, From: n, To: to})
		}
	}
	return halves
}

// nearestDeficit is the node nearest to n, within maxBridge, where more half-edges
// leave than arrive; −1 for none. Of equally near ones it is the first.
func nearestDeficit(nodes []geom.Point, surplus []int, n int) int {
	best, dist := -1, maxBridge
	for k, s := range surplus {
		if d := nodes[k].Dist(nodes[n]); s < 0 && d < dist {
			best, dist = k, d
		}
	}
	return best
}

// closeGaps puts a line into every gap between the curves of a ring, so that each
// ends where the next begins, to the bit.
func closeGaps(ring Ring) Ring {
	out := make(Ring, 0, len(ring))
	for i, c := range ring {
		out = append(out, c)
		if next := ring[(i+1)%len(ring)].P; next != c.Q {
			out = append(out, geom.LineFrom(c.Q, next))
		}
	}
	return out
}

// signedArea is the area inside a ring in mm², negative round a hole: the boundary
// integral ½∮(x dy − y dx) about a point of the ring, so that distance from the
// origin costs no digits. Its sign tells outer contours from holes and is certain for rings
// wider than rounding; snapping leaves none below the snap tolerance.
func signedArea(ring Ring) float64 {
	if len(ring) == 0 {
		return 0
	}
	home := geom.Translation(-ring[0].P.X, -ring[0].P.Y)
	sum := 0.0
	for _, c := range ring {
		sum += c.Transform(home).Area()
	}
	return sum
}

// regions gives each panel's board after windows. Its boundary is every edge of the
// arrangement with the panel's label on one side only, whatever kind of line is made
// there; which side that is, and so the direction of the half-edge, comes from the
// labels and involves no arithmetic.
func (l *layout) regions() []Region {
	bounds := make([][]region.HalfEdge, len(l.panels))
	for i := range l.Edges {
		s := &l.sides[i]
		for _, c := range s[leftSide] {
			if !s.has(rightSide, c.index) {
				bounds[c.index] = append(bounds[c.index], region.HalfEdge{Edge: i})
			}
		}
		for _, c := range s[rightSide] {
			if !s.has(leftSide, c.index) {
				bounds[c.index] = append(bounds[c.index], region.HalfEdge{Edge: i, Reversed: true})
			}
		}
	}
	out := make([]Region, len(l.panels))
	for i, p := range l.panels {
		if ended(l.ctx, i) {
			return nil
		}
		out[i].Panel = p
		for _, ring := range l.rings(bounds[i]) {
			out[i].Rings = append(out[i].Rings, ring)
			out[i].Area += signedArea(ring)
		}
	}
	for i, v := range l.classes {
		if s := &l.sides[i]; v.kind != "" && !v.rim && s.unbroken() {
			on := &out[s[leftSide][0].index]
			on.Worked = append(on.Worked, WorkLine{v.kind, l.Edges[i].Curve})
		}
	}
	return out
}
