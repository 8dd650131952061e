package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// crossing is two bodies whose planes meet in a line, and the stretches of the
// line in either's board.
type crossing struct {
	a, b     *plate
	at, dir  geom.Point3
	onA, onB []interval
}

// cross finds the line in which the planes of two bodies meet; they must not
// be parallel.
func cross(a, b *plate) *crossing { return crossMoved(a, b, geom.Point3{}) }

// crossMoved is cross with b moved by a displacement.
func crossMoved(a, b *plate, move geom.Point3) *crossing {
	x := &crossing{a: a, b: b}
	n := a.normal.Cross(b.normal)
	x.dir = n.Unit()
	// From a place near both, step to the line within the plane of the normals.
	near := a.box.mid().Lerp(b.box.mid(), 0.5)
	ea, eb := -a.height(near), -b.height(near.Sub(move))
	c, sin2 := a.normal.Dot(b.normal), n.Dot(n)
	x.at = near.Add(a.normal.Mul((ea - c*eb) / sin2)).Add(b.normal.Mul((eb - c*ea) / sin2))
	at, dir := x.inFrame(a)
	x.onA = cut(a.body.Loops, at, dir)
	at, dir = x.inFrame(b)
	x.onB = cut(b.body.Loops, at.Sub(b.back.ApplyDir(move).Plane()), dir)
	return x
}

// inFrame is the line in the frame of one of the two.
func (x *crossing) inFrame(s *plate) (at, dir geom.Point) {
	return s.local(x.at).Plane(), s.back.ApplyDir(x.dir).Plane()
}

// place is a spot of the line in the world.
func (x *crossing) place(along float64) geom.Point3 { return x.at.Add(x.dir.Mul(along)) }

// wayOut is a short move of b that parts two bodies of any shape, as length
// and unit direction: the best of sliding along the line, which is exact; of
// moving one out of the other's board within either plane, exact too; and of
// the same step square to the other's plane where that does as well. Each parts
// the two, so the true depth is never more.
func (x *crossing) wayOut() (float64, geom.Point3) {
	best := x.dir.Mul(slideApart(x.onA, x.onB))
	try := func(move geom.Point3) {
		if move.Len() < best.Len() {
			best = move
		}
	}
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

// slideApart is the shortest slide of b along the line that leaves no common
// stretch.
func slideApart(a, b []interval) float64 {
	best := math.Inf(1)
	for _, v := range a {
		for _, w := range b {
			for _, by := range [...]float64{v.to - w.from, v.from - w.to} {
				if math.Abs(by) < math.Abs(best) && len(common(a, slid(b, by))) == 0 {
					best = by
				}
			}
		}
	}
	return best
}
