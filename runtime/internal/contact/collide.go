package contact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Penetration is two panels that cross in a pose. A and B are their places in
// the piece, A < B.
//
// Depths are of the chords' polygons (Flatten) without thickness: boards that share
// space although their mid-surfaces do not cross are an Overlap.
type Penetration struct {
	A, B int
	// Depth is the length in mm of the shortest move that parts the two, more
	// than Shallowest: exact for convex panels and for others of few corners, else
	// the shortest of many moves that do, never less than the true one.
	Depth float64
	Part  geom.Point3 // unit; B moved by Depth this way just clears A

	// Out is how far each of the two, A first, comes out beyond the other's
	// mid-surface where the lesser of the two is greatest: both go on past the
	// other there, neither way out is as short.
	Out [2]float64

	At      geom.Point3 // the middle of the longest stretch along which they cross, in the world
	AtBlank geom.Point  // At on panel A, in the blank frame
}

// collide finds every contact of the pose: of each two groups of coincident
// panels first, and of all their members where those cross.
func (p *Posed) collide(ctx context.Context) error {
	p.layers.groups = coincident(p.plates)
	reach := p.reach()
	firsts := p.boxTree(func(i int) bool { return p.layers.members(i)[0] == i })
	err := firsts.pairs(ctx, reach, func(i, j int) error {
		// Boxes of slanting panels are wide: a panel wholly farther than reach off the other's plane
		// meets nothing of it. This saves time alone: common asks for heights within reach over the
		// shared ground, and cross for board on both sides of the plane.
		if lo, hi := p.plates[i].heights(p.plates[j].hull); lo > reach || hi < -reach {
			return nil
		}
		if p.parallel(i, j) {
			if g, ok := p.common(i, j); ok {
				p.layers.add(i, j, g)
				return nil
			}
		}
		// Crossings of coincident panels are the same but for who is hinged to whom, so each pair is
		// asked.
		for _, a := range p.layers.members(i) {
			for _, b := range p.layers.members(j) {
				if err := ended(ctx); err != nil {
					return err
				}
				p.cross(min(a, b), max(a, b))
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	// Coincident panels lie on one another: one ground for the whole group.
	for i := range p.layers.groups.members {
		if m := p.layers.groups.members[i]; len(m) > 1 {
			if g, ok := p.common(m[0], m[1]); ok {
				p.layers.add(m[0], m[0], g)
			}
		}
	}
	p.layers.index()
	slices.SortFunc(p.Penetrations, func(s, t Penetration) int { return cmp.Or(cmp.Compare(s.A, t.A), cmp.Compare(s.B, t.B)) })
	return nil
}

// boxTree is the broad phase over the plates that have board and a place, of
// those for which takes holds.
func (p *Posed) boxTree(takes func(i int) bool) *boxTree {
	boxes := make([]box3, len(p.plates))
	for i := range p.plates {
		boxes[i] = p.plates[i].box
	}
	return newBoxTree(boxes, func(i int) bool { return p.plates[i].ok && takes(i) })
}

// angled visits every two panels whose boxes come within d of each other, in mm,
// and whose planes meet in a line, in rising order: but those that a hinge joins
// and those of which one passes through an opening of the other, which meet
// there by design.
// Both panels have board and a place, and q.a < q.b.
func (p *Posed) angled(ctx context.Context, d float64, visit func(q pair)) error {
	return p.all().pairs(ctx, d, func(i, j int) error {
		if q := pairOf(i, j); len(p.hinged[q]) == 0 && len(p.through[q]) == 0 && !p.parallel(i, j) {
			visit(q)
		}
		return nil
	})
}

// reach is how far apart two panels may be and still lie on one another.
func (p *Posed) reach() float64 { return p.caliper + geom.SnapTolerance }

// parallel reports whether two panels are as good as parallel: the sine of the
// angle between their planes is under a tolerance. The sine is exact to 1e-15, so
// that only panels at the tolerance itself could go either way.
func (p *Posed) parallel(i, j int) bool {
	return p.plates[i].normal.Cross(p.plates[j].normal).Len() < parallel
}

// cross books how deep two panels cross that no hinge joins, i < j. Whether one
// reaches to both sides of the other's plane is by tolerance: panels that come
// through by Shallowest or less do not cross.
func (p *Posed) cross(i, j int) {
	a, b := &p.plates[i], &p.plates[j]
	if lo, hi := a.heights(b.hull); lo >= -Shallowest || hi <= Shallowest || len(p.hinged[pair{i, j}]) > 0 {
		return
	}
	if t, ok := p.penetration(i, j); ok {
		p.Penetrations = append(p.Penetrations, t)
	}
}

// penetration looks at two panels whose planes cross.
// i < j. ok is false where they touch no deeper than Shallowest or cross only in
// openings that one is tucked through. Depths after the first mostExact of a pose
// that are not of convex panels may be too large, never too small.
func (p *Posed) penetration(i, j int) (Penetration, bool) {
	a, b := &p.plates[i], &p.plates[j]
	depth, part := parting(a, b)
	if depth <= Shallowest {
		return Penetration{}, false
	}
	x := cross(a, b)
	shared := p.notThrough(pair{i, j}, x, common(x.onA, x.onB))
	if len(shared) == 0 {
		return Penetration{}, false
	}
	// Hulls give an upper bound: other moves are tried for boards of other shape, all faces of the
	// sum while crossings are few.
	if !a.body.Convex || !b.body.Convex {
		if d, way := x.wayOut(); d < depth {
			depth, part = d, way
		}
		if len(p.Penetrations) < mostExact {
			depth, part = x.shortest(depth, part)
		}
		if depth <= Shallowest {
			return Penetration{}, false
		}
	}
	t := Penetration{A: i, B: j, Depth: depth, Part: part, At: x.place(longest(shared).Mid())}
	t.AtBlank, t.Out = p.onBlank(i, t.At), x.out(shared)
	return t, true
}

// notThrough drops the stretches of a crossing that lead through an opening or a slit one
// of the two is tucked into, a rim of it included: how well it passes is the
// join's matter.
// shared is changed in place.
func (p *Posed) notThrough(q pair, x *crossing, shared []Stretch) []Stretch {
	for _, end := range p.through[q] {
		at, dir := x.inFrame(&p.plates[p.index[end.Panel]])
		open := Through(end, at, dir)
		if len(open) == 0 {
			continue
		}
		// By tolerance: what touches the opening, grown by Rim, is in it.
		from, to := open[0].From-Rim, open[len(open)-1].To+Rim
		shared = slices.DeleteFunc(shared, func(v Stretch) bool {
			return max(v.From, from) <= min(v.To, to)
		})
	}
	return shared
}

// crossing is two bodies whose planes meet in a line, and the stretches of the
// line in either's board.
// The line is at + t·dir for t in mm, in the world; onA and onB are sorted ranges
// of t. at is the place of the line next to the middle between the two boxes, so
// that t stays of the size of the panels.
type crossing struct {
	a, b     *plate
	at, dir  geom.Point3
	onA, onB []Stretch
}

// cross finds the line in which the planes of two bodies meet; they must not
// be parallel.
func cross(a, b *plate) *crossing { return crossMoved(a, b, geom.Point3{}) }

// crossMoved is cross with b moved by a displacement.
// The displacement is in the world, mm.
func crossMoved(a, b *plate, move geom.Point3) *crossing {
	x := &crossing{a: a, b: b}
	n := a.normal.Cross(b.normal)
	x.dir = n.Unit()
	// Of the planes a·(x − near) = ea and b·(x − near) = eb, with c = a·b and
	// sin² = 1 − c², the nearest common place is near + λa + μb with
	// λ = (ea − c·eb)/sin², μ = (eb − c·ea)/sin². That is ill-conditioned for a
	// small sine, which the tolerance of parallel keeps away.
	// From a place near both, step to the line within the plane of the normals.
	near := a.box.mid().Lerp(b.box.mid(), 0.5)
	ea, eb := -a.height(near), -b.height(near.Sub(move))
	c, sin2 := a.normal.Dot(b.normal), n.Dot(n)
	x.at = near.Add(a.normal.Mul((ea - c*eb) / sin2)).Add(b.normal.Mul((eb - c*ea) / sin2))
	at, dir := x.inFrame(a)
	x.onA = Along(a.body.Loops, at, dir)
	at, dir = x.inFrame(b)
	x.onB = Along(b.body.Loops, at.Sub(b.back.ApplyDir(move).Plane()), dir)
	return x
}

// inFrame is the line in the frame of one of the two.
// dir stays a unit vector, since it lies in the plane of s; at has no height but
// for rounding.
func (x *crossing) inFrame(s *plate) (at, dir geom.Point) {
	return s.local(x.at).Plane(), s.back.ApplyDir(x.dir).Plane()
}

// place is a spot of the line in the world.
func (x *crossing) place(along float64) geom.Point3 { return x.at.Add(x.dir.Mul(along)) }

// slideApart is the shortest slide of b along the line that leaves no common
// stretch.
// The result is signed, mm along the line; among equals the first found. It is
// +Inf only where either list is empty. For k and l stretches there are 2·k·l
// candidates, each checked in k + l steps.
func slideApart(a, b []Stretch) float64 {
	best := math.Inf(1)
	for _, v := range a {
		for _, w := range b {
			// The least slide ends where some stretch of b just leaves one of a.
			for _, by := range [...]float64{v.To - w.From, v.From - w.To} {
				if math.Abs(by) < math.Abs(best) && len(common(a, slid(b, by))) == 0 {
					best = by
				}
			}
		}
	}
	return best
}

// parting is the shortest move of b, as length and unit direction, that parts
// the hulls of two bodies that are not parallel; a length of Shallowest or less
// means that they hardly touch or are apart.
//
// The places b may be moved to while it still meets a form a convex solid, the
// Minkowski sum of a and the mirrored b, and the move leads to the nearest of
// its faces. Those lie square to either normal, or along an edge of each: such
// a face exists where the direction square to both edges leads out over a's
// edge and in over b's, and then the edges themselves tell its distance.
// A depth of 0 or less says that a plane parts the two, not how far apart they are.
func parting(a, b *plate) (depth float64, part geom.Point3) {
	depth = math.Inf(1)
	try := func(d float64, way geom.Point3) {
		if Exceeds(depth, d) {
			depth, part = d, way
		}
	}
	lo, hi := a.heights(b.hull)
	try(-lo, a.normal)
	try(hi, a.normal.Mul(-1))
	lo, hi = b.heights(a.hull)
	try(hi, b.normal)
	try(-lo, b.normal.Mul(-1))
	if depth <= Shallowest {
		return depth, part
	}
	// Faces of the sum along an edge of each. The sign of way·f.out is by rounding
	// alone: at 0 the face has no width, and its distance is that of the face
	// beside it, which is among the candidates.
	for _, e := range a.sides {
		for _, f := range b.sides {
			way := e.dir.Cross(f.dir)
			size := way.Len()
			if size < parallelSine {
				continue
			}
			if way = way.Mul(1 / size); way.Dot(e.out) < 0 {
				way = way.Mul(-1)
			}
			if way.Dot(f.out) <= 0 {
				try(way.Dot(e.at.Sub(f.at)), way)
			}
		}
	}
	return depth, part
}

// parallelSine is the sine of the angle under which two edges make no face of their
// own: the faces beside it are within this share of a panel's size of it.
const parallelSine = 1e-7
