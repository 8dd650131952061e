package contact

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// outSamples is at how many places of a stretch along which two panels cross it
// is looked how far they come out.
const outSamples = 16

// out is how far the two come out beyond one another, at the place of the shared
// stretches where the lesser of the two is greatest.
// In mm off the other's plane. The best of outSamples places of a stretch is a lower
// bound of the greatest.
func (x *crossing) out(shared []Stretch) (best [2]float64) {
	// A way within one panel, square to the line, leads off the other's plane by the sine of the
	// angle between the two.
	sine := x.a.normal.Cross(x.b.normal).Len()
	for _, v := range shared {
		for k := range outSamples {
			along := v.From + v.Length()*(float64(k)+0.5)/outSamples
			var here [2]float64
			for n, s := range [...]*plate{x.a, x.b} {
				at, dir := x.inFrame(s)
				here[n] = sine * bothSides(s.body.Loops, at.Add(dir.Mul(along)), dir.Left())
			}
			less, was := min(here[0], here[1]), min(best[0], best[1])
			if less > was+geom.Tiny || less > was-geom.Tiny && max(here[0], here[1]) > max(best[0], best[1])+geom.Tiny {
				best = here
			}
		}
	}
	return best
}

// bothSides is how far board goes on from a place at least, both ways along a
// direction.
// 0 where the place is not in board.
func bothSides(loops [][]geom.Point, at, dir geom.Point) float64 {
	for _, v := range Along(loops, at, dir) {
		if v.From <= 0 && 0 <= v.To {
			return min(-v.From, v.To)
		}
	}
	return 0
}

// wayOut is a short move of b that parts two bodies of any shape, as length
// and unit direction: the best of sliding along the line, which is exact; of
// moving one out of the other's board within either plane, exact too; and of
// the same step square to the other's plane where that does as well.
func (x *crossing) wayOut() (float64, geom.Point3) {
	best := x.dir.Mul(slideApart(x.onA, x.onB))
	try := func(move geom.Point3) {
		if Exceeds(best.Len(), move.Len()) {
			best = move
		}
	}
	// A move within one panel's plane parts the two; its share square to the other's plane is
	// shorter, and is tried too.
	try2 := func(within, normal geom.Point3) {
		try(within)
		square := normal.Mul(within.Dot(normal))
		if y := crossMoved(x.a, x.b, square); len(common(y.onA, y.onB)) == 0 {
			try(square)
		}
	}
	at, dir := x.inFrame(x.a)
	up, down := clearings(x.a.body.Loops, at, dir, x.onB)
	across := x.a.frame.ApplyDir(dir.Left().Space())
	try2(across.Mul(up), x.b.normal)
	try2(across.Mul(down), x.b.normal)
	at, dir = x.inFrame(x.b)
	up, down = clearings(x.b.body.Loops, at, dir, x.onA)
	across = x.b.frame.ApplyDir(dir.Left().Space())
	try2(across.Mul(-up), x.a.normal)
	try2(across.Mul(-down), x.a.normal)
	return best.Len(), best.Unit()
}

// bound is a plane in the space of moves of b: the moves m with n·m = c, c > 0,
// at which a corner of one comes into the plane of the other, or two edges meet.
// The moves at which two bodies of any shape begin to meet or part all lie on
// such planes: the sum of a and the mirrored b is a union of convex solids, one
// for each two convex parts, and these are its faces.
type bound struct {
	n geom.Point3 // unit
	c float64
}

// How many of the nearest bounds are looked at alone, two by two and three by
// three, and how many moves are tried of those that each of these gives: more
// than panels of a dozen corners each have.
const (
	mostExact   = 100 // crossings of a pose whose depth is made exact; with more, the bound of wayOut is kept
	mostBounds  = 1000
	mostPaired  = 400
	mostTripled = 120
	mostTried   = 10000
)

// shortest is the shortest move of b that parts two bodies of any shape; depth
// and part are those of a longer one. The nearest move that parts them is the
// foot of the perpendicular from no move at all onto a bound, onto the line in
// which two cross, or the point in which three do. These are tried in order of
// length; the first that parts them is the shortest of its kind.
// For n bounds it tries n faces, n²/2 lines and n³/6 points, each within the numbers
// above; where these cut something off, the result is still a move that parts them.
func (x *crossing) shortest(depth float64, part geom.Point3) (float64, geom.Point3) {
	var moves []geom.Point3
	add := func(m geom.Point3) bool {
		near := m.Len() > Shallowest && Exceeds(depth, m.Len())
		if near {
			moves = append(moves, m)
		}
		return near
	}
	try := func() {
		slices.SortStableFunc(moves, func(m, n geom.Point3) int { return cmp.Compare(m.Len(), n.Len()) })
		for _, m := range moves[:min(len(moves), mostTried)] {
			if x.parts(m.Mul(1 + partSlack/m.Len())) {
				depth, part = m.Len(), m.Unit()
				break
			}
		}
		moves = moves[:0]
	}
	// Faces first, then lines of two and points of three, each kind over the nearest bounds that
	// are left once a shorter move is known.
	bounds := x.bounds(depth)
	for _, p := range bounds {
		add(p.n.Mul(p.c))
	}
	try()
	nearest := func(most int) []bound {
		n, _ := slices.BinarySearchFunc(bounds, depth, func(b bound, d float64) int { return cmp.Compare(b.c, d) })
		return bounds[:min(n, most)]
	}
	pairs := func(among []bound, visit func(i, j int)) {
		for i := range among {
			for j := range i {
				if m, ok := foot(among[i], among[j]); ok && add(m) {
					visit(i, j)
				}
			}
		}
	}
	pairs(nearest(mostPaired), func(i, j int) {})
	try()
	among := nearest(mostTripled)
	pairs(among, func(i, j int) {
		moves = moves[:len(moves)-1] // tried before
		for _, r := range among[:j] {
			if m, ok := corner(among[i], among[j], r); ok {
				add(m)
			}
		}
	})
	try()
	return depth, part
}

const (
	// parallelSquare is the square of the sine of the angle, 0.02°, under which two
	// bounds are parallel: they have 1 − cos² computed to 2e-16, so that a move on both
	// is good to 2e-9 of its length.
	parallelSquare = 1e-7
	// flatCorner is the determinant of three unit normals below which their bounds have
	// no one point in common: computed to some 1e-15, so that the point is good to 1e-8
	// of its distance.
	flatCorner = 1e-7
)

// foot is the shortest move on two bounds; ok is false where they are parallel.
func foot(p, q bound) (m geom.Point3, ok bool) {
	cos := p.n.Dot(q.n)
	// The least |m| with p.n·m = p.c and q.n·m = q.c lies in the span of both normals: two linear
	// equations with determinant 1 − cos².
	sin2 := 1 - cos*cos
	if sin2 < parallelSquare {
		return m, false
	}
	return p.n.Mul((p.c - cos*q.c) / sin2).Add(q.n.Mul((q.c - cos*p.c) / sin2)), true
}

// corner is the move on three bounds; ok is false where they have no one point
// in common.
func corner(p, q, r bound) (m geom.Point3, ok bool) {
	// Cramer's rule for three planes.
	det := p.n.Dot(q.n.Cross(r.n))
	if math.Abs(det) < flatCorner {
		return m, false
	}
	return q.n.Cross(r.n).Mul(p.c / det).Add(r.n.Cross(p.n).Mul(q.c / det)).Add(p.n.Cross(q.n).Mul(r.c / det)), true
}

// partSlack is how much farther than a bound, in mm, a move is tried: beyond
// what rounding moves the bound by.
const partSlack = 1e-7

// parts reports whether b, moved, and a have no board in common.
// Common stretches of geom.SnapTolerance or less count as none.
func (x *crossing) parts(move geom.Point3) bool {
	y := crossMoved(x.a, x.b, move)
	return len(common(y.onA, y.onB)) == 0
}

// bounds lists the bounds nearer than some depth, the nearest first.
// Those within Shallowest of no move at all are left out. Of bounds that agree within
// geom.Tiny one stands for all.
func (x *crossing) bounds(depth float64) []bound {
	var out []bound
	add := func(n geom.Point3, c float64) {
		if c < 0 {
			n, c = n.Mul(-1), -c
		}
		if c > Shallowest && Exceeds(depth, c) {
			out = append(out, bound{n, c})
		}
	}
	corners := func(s *plate, visit func(p, q geom.Point3)) {
		for _, loop := range s.body.Loops {
			for k, p := range loop {
				visit(s.world(p), s.world(loop[(k+1)%len(loop)]))
			}
		}
	}
	// Corner of a in the plane of b, corner of b in the plane of a, and edge on edge: the three
	// kinds of faces of a Minkowski sum of polygons.
	corners(x.a, func(p, _ geom.Point3) { add(x.b.normal, x.b.height(p)) })
	corners(x.b, func(p, _ geom.Point3) { add(x.a.normal, -x.a.height(p)) })
	corners(x.a, func(p, q geom.Point3) {
		e := q.Sub(p).Unit()
		corners(x.b, func(r, s geom.Point3) {
			n := e.Cross(s.Sub(r).Unit())
			if size := n.Len(); size > parallelSine {
				n = n.Mul(1 / size)
				add(n, n.Dot(p.Sub(r)))
			}
		})
	})
	slices.SortStableFunc(out, func(p, q bound) int { return cmp.Compare(p.c, q.c) })
	out = slices.CompactFunc(out, func(p, q bound) bool { return q.c-p.c < geom.Tiny && p.n.Sub(q.n).Len() < geom.Tiny })
	return out[:min(len(out), mostBounds)]
}
