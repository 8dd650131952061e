package scene

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// mostSides is up to how many sides subtract compares each with each; with more,
// region is faster, whose time does not grow with the square.
const mostSides = 96

// subtract is what a cover leaves of rings, all of straight sides, and agrees
// with region.Difference, rings and their first corners included, at a tenth of
// its cost: sides are split where they meet a side of the cover, the pieces
// that bound the rest are kept, and these are chained. Corners within
// geom.SnapTolerance are one. ok is false where the pieces do not close, which
// rounding may bring about where sides all but coincide.
func subtract(left [][]geom.Point, cover [][]geom.Point) (rest [][]geom.Point, ok bool) {
	corners := cornersOf(left) + cornersOf(cover)
	if corners > mostSides {
		return nil, false
	}
	s := &subtraction{
		nodes: make([]geom.Point, 0, 2*corners), sides: make([]side, 0, corners), pieces: make([]piece, 0, 2*corners),
	}
	s.addLoops(left)
	n := len(s.sides)
	s.addLoops(cover)
	for i := range s.sides {
		for j := range s.sides[:i] {
			s.meet(&s.sides[j], &s.sides[i])
		}
	}
	for i := range s.sides {
		s.split(&s.sides[i], i >= n)
	}
	return s.chain(s.boundary(left, cover))
}

// subtraction is the sides of both operands on common nodes.
type subtraction struct {
	nodes  []geom.Point
	sides  []side
	pieces []piece
}

// side is a side of a loop, from node to node, and where it is to be split.
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

// piece is a stretch of a side between two neighbouring nodes; of the cover's
// loops, or of the rings that it is taken from.
type piece struct {
	from, to int
	cover    bool
}

// node is the number of the node at p, which may be new.
func (s *subtraction) node(p geom.Point) int {
	for i, q := range s.nodes {
		if d := p.Sub(q); math.Abs(d.X) <= geom.SnapTolerance && math.Abs(d.Y) <= geom.SnapTolerance && d.Len() <= geom.SnapTolerance {
			return i
		}
	}
	s.nodes = append(s.nodes, p)
	return len(s.nodes) - 1
}

func cornersOf(loops [][]geom.Point) int {
	n := 0
	for _, l := range loops {
		n += len(l)
	}
	return n
}

func (s *subtraction) addLoops(loops [][]geom.Point) {
	for _, l := range loops {
		s.addLoop(l)
	}
}

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

// meet cuts two sides where they cross, and either where an end of the other
// lies on it.
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

// touch reports whether a node lies on a side or is an end of it, and cuts the
// side there.
func (s *subtraction) touch(a *side, node int, p geom.Point) bool {
	if node == a.from || node == a.to {
		return true
	}
	u, w := a.q.Sub(a.p), p.Sub(a.p)
	long := u.Dot(u)
	if off := u.Cross(w); off*off > geom.SnapTolerance*geom.SnapTolerance*long {
		return false
	}
	t := w.Dot(u) / long
	if t <= 0 || t >= 1 {
		return false
	}
	a.cut(node, t)
	return true
}

func (a *side) cut(node int, t float64) {
	if node != a.from && node != a.to && !slices.ContainsFunc(a.cuts, func(c cut) bool { return c.node == node }) {
		a.cuts = append(a.cuts, cut{t, node})
	}
}

// split appends the pieces of a side.
func (s *subtraction) split(a *side, cover bool) {
	slices.SortFunc(a.cuts, func(x, y cut) int { return cmp.Or(cmp.Compare(x.t, y.t), cmp.Compare(x.node, y.node)) })
	from := a.from
	for _, c := range a.cuts {
		s.pieces = append(s.pieces, piece{from, c.node, cover})
		from = c.node
	}
	s.pieces = append(s.pieces, piece{from, a.to, cover})
}

// boundary lists the pieces with the rest on one side only, that side on their
// left: of the rings what lies outside the cover, of the cover, turned round,
// what lies inside the rings. Where pieces of both coincide the rings' is kept
// if the two have their insides on different sides; pieces of one operand that
// run there and back, as cutOff leaves them, bound nothing.
func (s *subtraction) boundary(left, cover [][]geom.Point) []piece {
	kept := make([]piece, 0, len(s.pieces))
	for _, p := range s.pieces {
		switch opposite, same, back := s.coincident(p); {
		case back || same || opposite && p.cover:
		case opposite:
			kept = append(kept, p)
		case !p.cover && !polygon.Holds(cover, s.mid(p)):
			kept = append(kept, p)
		case p.cover && polygon.Holds(left, s.mid(p)):
			kept = append(kept, piece{p.to, p.from, true})
		}
	}
	return kept
}

func (s *subtraction) mid(p piece) geom.Point { return s.nodes[p.from].Lerp(s.nodes[p.to], 0.5) }

// coincident reports whether a piece of the other operand runs against this
// one, or the same way, and whether one of its own runs back along it.
func (s *subtraction) coincident(p piece) (opposite, same, back bool) {
	for _, q := range s.pieces {
		switch against := q.from == p.to && q.to == p.from; {
		case q.cover == p.cover:
			back = back || against
		case against:
			opposite = true
		default:
			same = same || q.from == p.from && q.to == p.to
		}
	}
	return opposite, same, back
}

// chain joins pieces to rings, in order of the first piece of each.
func (s *subtraction) chain(pieces []piece) (rings [][]geom.Point, ok bool) {
	next, ok := s.successors(pieces)
	if !ok {
		return nil, false
	}
	done := make([]bool, len(pieces))
	for k := range pieces {
		var ring []geom.Point
		for ; !done[k]; k = next[k] {
			done[k] = true
			ring = append(ring, s.nodes[pieces[k].to])
		}
		if len(ring) > 0 {
			rings = append(rings, ring)
		}
	}
	return rings, true
}

// successors gives each piece the one that continues it: where several leave a
// node, the first counter-clockwise from the way back, so that parts and holes
// that touch in a point stay rings of their own.
func (s *subtraction) successors(pieces []piece) (next []int, ok bool) {
	next = make([]int, len(pieces))
	taken := make([]bool, len(pieces))
	for i, p := range pieces {
		best := -1
		for j, q := range pieces {
			if q.from == p.to && !taken[j] && (best < 0 || s.turn(p, q) < s.turn(p, pieces[best])) {
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

// turn is the angle from the way back along p to the way along q, which leaves
// where p ends: above 0, up to a full turn.
func (s *subtraction) turn(p, q piece) float64 {
	back, on := s.nodes[p.from].Sub(s.nodes[p.to]), s.nodes[q.to].Sub(s.nodes[q.from])
	turn := geom.AngleBetween(back, on).Radians()
	if turn <= 0 {
		turn += 2 * math.Pi
	}
	return turn
}
