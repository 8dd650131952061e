package scene

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// maxSides is the number of sides up to which subtract compares each with each,
// which takes time with the square of it; with more, region.Difference is faster.
// BenchmarkSubtract measures it.
const maxSides = 96

// subtract is the set difference of two sets of rings with straight sides, minuend
// less subtrahend, read even-odd. It agrees with region.Difference, rings and their
// first corners included, at a tenth of its cost.
//
// Corners within geom.SnapTolerance become one node, the first. All sides are split
// into fragments at the nodes where they meet others; the fragments that bound the
// difference are kept (see boundary) and chained to rings (see chain). ok is false
// where the fragments do not close, which snapping can cause where sides nearly
// coincide, and for more than maxSides sides; nothing is guessed then.
func subtract(minuend [][]geom.Point, subtrahend [][]geom.Point) (rest [][]geom.Point, ok bool) {
	corners := cornersOf(minuend) + cornersOf(subtrahend)
	if corners > maxSides {
		return nil, false
	}
	s := &subtraction{
		nodes: make([]geom.Point, 0, 2*corners), sides: make([]side, 0, corners), fragments: make([]fragment, 0, 2*corners),
	}
	s.addLoops(minuend)
	n := len(s.sides)
	s.addLoops(subtrahend)
	for i := range s.sides {
		for j := range s.sides[:i] {
			s.meet(&s.sides[j], &s.sides[i])
		}
	}
	for i := range s.sides {
		s.splitSide(&s.sides[i], i >= n)
	}
	return s.chain(s.boundary(minuend, subtrahend))
}

// subtraction is the sides of both operands on common nodes.
type subtraction struct {
	nodes     []geom.Point
	sides     []side
	fragments []fragment
}

// side is a side of a ring, from node to node, and where it is to be split.
type side struct {
	from, to int
	p, q     geom.Point
	box      geom.Box
	cuts     []cut
}

// cut is a node on a side, at a parameter of it.
type cut struct {
	t    float64
	node int
}

// fragment is a stretch of a side between two neighbouring nodes, of the subtrahend
// or of the minuend.
type fragment struct {
	from, to   int
	subtrahend bool
}

// node is the index of the first node within geom.SnapTolerance of p, which is added
// where there is none. So no two nodes are closer than the tolerance.
func (s *subtraction) node(p geom.Point) int {
	for i, q := range s.nodes {
		if d := p.Sub(q); math.Abs(d.X) <= geom.SnapTolerance && math.Abs(d.Y) <= geom.SnapTolerance && d.Len() <= geom.SnapTolerance {
			return i
		}
	}
	s.nodes = append(s.nodes, p)
	return len(s.nodes) - 1
}

// cornersOf is the number of corners of loops together.
func cornersOf(loops [][]geom.Point) int {
	n := 0
	for _, l := range loops {
		n += len(l)
	}
	return n
}

// addLoops adds the sides of one operand.
func (s *subtraction) addLoops(loops [][]geom.Point) {
	for _, l := range loops {
		s.addLoop(l)
	}
}

// addLoop adds the sides of a loop, without those that start and end in one node.
func (s *subtraction) addLoop(loop []geom.Point) {
	first := s.node(loop[len(loop)-1])
	from := first
	for i, p := range loop {
		to := first
		if i < len(loop)-1 {
			to = s.node(p)
		}
		if from != to {
			a, b := s.nodes[from], s.nodes[to]
			s.sides = append(s.sides, side{from: from, to: to, p: a, q: b, box: geom.BoxOf(a, b)})
		}
		from = to
	}
}

// meet splits two sides at their intersection, and either where an end of the other
// lies on it.
//
// By tolerance first: an end within geom.SnapTolerance of the other side lies on it
// and becomes a node of it. Only sides of which no end does so are intersected, by
// the sign of 0 < t, k < 1 in Cramer's rule. Their ends are then further than the
// tolerance from the other side, so sides that do cross do so at a sine of at least
// the tolerance over their length, and the crossing is good to 10⁻¹⁶ · size / sine:
// 10⁻⁷ mm for a metre. The signs are then those of exact arithmetic, a filtered
// decision. Sides that are collinear and disjoint, for which t and k mean nothing,
// are excluded by their boxes; u × v = 0 means parallel sides, which do not cross.
func (s *subtraction) meet(a, b *side) {
	if !a.box.Grow(geom.SnapTolerance).Intersects(b.box) {
		return
	}
	onB := s.touch(b, a.from, a.p)
	onB = s.touch(b, a.to, a.q) || onB
	onA := s.touch(a, b.from, b.p)
	onA = s.touch(a, b.to, b.q) || onA
	if onA || onB {
		return
	}
	u, v := a.q.Sub(a.p), b.q.Sub(b.p)
	c := u.Cross(v)
	if c == 0 {
		return
	}
	w := b.p.Sub(a.p)
	t, k := w.Cross(v)/c, w.Cross(u)/c
	if t > 0 && t < 1 && k > 0 && k < 1 {
		n := s.node(a.p.Lerp(a.q, t))
		a.cut(n, t)
		b.cut(n, k)
	}
}

// touch reports whether a node is an end of a side or lies within
// geom.SnapTolerance of it, and splits the side there. The distance (u × w)²/|u|² is
// compared squared; a node beyond an end (t outside 0…1) is not on the side.
func (s *subtraction) touch(a *side, node int, p geom.Point) bool {
	if node == a.from || node == a.to {
		return true
	}
	u, w := a.q.Sub(a.p), p.Sub(a.p)
	lengthSq := u.Dot(u)
	if off := u.Cross(w); off*off > geom.SnapTolerance*geom.SnapTolerance*lengthSq {
		return false
	}
	t := w.Dot(u) / lengthSq
	if t <= 0 || t >= 1 {
		return false
	}
	a.cut(node, t)
	return true
}

// cut notes that a side is to be split at a node, at parameter t, once for each
// node that is none of its ends.
func (a *side) cut(node int, t float64) {
	if node != a.from && node != a.to && !slices.ContainsFunc(a.cuts, func(c cut) bool { return c.node == node }) {
		a.cuts = append(a.cuts, cut{t, node})
	}
}

// splitSide appends the fragments of a side, from node to node in order of their
// parameters, of equal ones in order of the nodes.
func (s *subtraction) splitSide(a *side, subtrahend bool) {
	slices.SortFunc(a.cuts, func(x, y cut) int { return cmp.Or(cmp.Compare(x.t, y.t), cmp.Compare(x.node, y.node)) })
	from := a.from
	for _, c := range a.cuts {
		s.fragments = append(s.fragments, fragment{from, c.node, subtrahend})
		from = c.node
	}
	s.fragments = append(s.fragments, fragment{from, a.to, subtrahend})
}

// boundary lists the fragments that have the difference on one side only, directed
// to have it on their left: those of the minuend outside the subtrahend and,
// reversed, those of the subtrahend inside the minuend. Of two fragments that
// coincide the minuend's is kept if the operands lie on different sides of it; a
// fragment that runs there and back, as clipPositive leaves them, bounds nothing.
//
// Coincident fragments are recognised by their nodes, which is exact. Whether one
// is inside the other operand is decided at its midpoint by polygon.Holds, which is
// exact for that point; since fragments are split wherever the operands meet, the
// midpoint is on the other's boundary only for fragments near the snap tolerance
// long, and then a wrong answer either leaves the chain open (ok is false) or moves
// the boundary by no more than that.
func (s *subtraction) boundary(minuend, subtrahend [][]geom.Point) []fragment {
	kept := make([]fragment, 0, len(s.fragments))
	for _, p := range s.fragments {
		switch opposite, same, back := s.coincident(p); {
		case back || same || opposite && p.subtrahend:
		case opposite:
			kept = append(kept, p)
		case !p.subtrahend && !polygon.Holds(subtrahend, s.midpoint(p)):
			kept = append(kept, p)
		case p.subtrahend && polygon.Holds(minuend, s.midpoint(p)):
			kept = append(kept, fragment{p.to, p.from, true})
		}
	}
	return kept
}

// midpoint is the middle of a fragment.
func (s *subtraction) midpoint(p fragment) geom.Point {
	return s.nodes[p.from].Lerp(s.nodes[p.to], 0.5)
}

// coincident reports whether a fragment of the other operand runs between the same
// nodes the other way, or the same way, and whether one of its own runs back.
func (s *subtraction) coincident(p fragment) (opposite, same, back bool) {
	for _, q := range s.fragments {
		switch against := q.from == p.to && q.to == p.from; {
		case q.subtrahend == p.subtrahend:
			back = back || against
		case against:
			opposite = true
		default:
			same = same || q.from == p.from && q.to == p.to
		}
	}
	return opposite, same, back
}

// chain joins fragments to rings, in order of the first fragment of each.
func (s *subtraction) chain(fragments []fragment) (rings [][]geom.Point, ok bool) {
	next, ok := s.successors(fragments)
	if !ok {
		return nil, false
	}
	done := make([]bool, len(fragments))
	for k := range fragments {
		var ring []geom.Point
		for ; !done[k]; k = next[k] {
			done[k] = true
			ring = append(ring, s.nodes[fragments[k].to])
		}
		if len(ring) > 0 {
			rings = append(rings, ring)
		}
	}
	return rings, true
}

// successors gives each fragment the one that continues it: where several leave a
// node, the first counter-clockwise from the reverse of the one that arrives. So
// parts and holes that touch at a point stay separate rings. Of equal angles the
// first in the list is taken. ok is false where nothing leaves a node.
func (s *subtraction) successors(fragments []fragment) (next []int, ok bool) {
	next = make([]int, len(fragments))
	taken := make([]bool, len(fragments))
	for i, p := range fragments {
		best := -1
		for j, q := range fragments {
			if q.from == p.to && !taken[j] && (best < 0 || s.turnAngle(p, q) < s.turnAngle(p, fragments[best])) {
				best = j
			}
		}
		if best < 0 {
			return nil, false
		}
		next[i], taken[best] = best, true
	}
	return next, true
}

// turnAngle is the angle in radians, in (0, 2π], from the reverse of fragment p
// counter-clockwise to fragment q, which starts where p ends. It orders fragments
// round a node as computed, not exactly. Two fragments whose order rounding could
// swap lie within 10⁻¹² radians of one another, and so within geom.SnapTolerance
// over any length that a picture has: either order gives the same boundary to
// within the tolerance.
func (s *subtraction) turnAngle(p, q fragment) float64 {
	back, on := s.nodes[p.from].Sub(s.nodes[p.to]), s.nodes[q.to].Sub(s.nodes[q.from])
	turn := geom.AngleBetween(back, on).Radians()
	if turn <= 0 {
		turn += 2 * math.Pi
	}
	return turn
}
