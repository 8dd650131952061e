package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// place is where the product stands: the point asked for, or where it has most
// room: half-way between what bounds it along either axis, and where it does
// not clear everything there, the place nearby at which it lacks least.
func (r *room) place() geom.Point {
	if r.contents.At != nil {
		return *r.contents.At
	}
	at := r.Piece.Panels[r.on].Outline.Bounds().Mid()
	rest := r.rest(at)
	// Newton-like: between upright walls one step balances both axes, as the rooms change by as
	// much as the product moves.
	for range balanceRounds {
		if r.ctx.Err() != nil {
			return at
		}
		g := newProduct(r.contents, r.plates[r.on].frame, at, rest)
		step := geom.Pt(balance(r.free(g, 0), r.free(g, 1)), balance(r.free(g, 2), r.free(g, 3)))
		if at = at.Add(step); step.Len() < geom.Tiny {
			break
		}
	}
	return r.improve(at, rest)
}

// balanceRounds bounds the steps to the middle; between upright walls one does,
// and between slanting ones each takes off at least half of what is left.
const balanceRounds = 50

// balance is the step that makes two finite rooms alike.
func balance(minus, plus float64) float64 {
	if math.IsInf(minus, 1) || math.IsInf(plus, 1) {
		return 0
	}
	return (plus - minus) / 2
}

// improveRounds bounds the search for a better place: some fifteen halvings of
// the step, and room for ten steps at each.
const improveRounds = 150

// improve looks for a place on the board where the product lacks less
// clearance, by steps along eight ways that halve when none is better.
func (r *room) improve(at geom.Point, rest float64) geom.Point {
	margin := func(at geom.Point) float64 {
		g := newProduct(r.contents, r.plates[r.on].frame, at, rest)
		least := math.Inf(1)
		r.surfaces(g, func(s *surface) bool {
			clear, _ := s.clearance(g)
			least = min(least, clear)
			return r.ctx.Err() == nil
		})
		return least - r.contents.Clearance
	}
	best := margin(at)
	step := max(r.contents.Size[0], r.contents.Size[1]) / 4
	for rounds := 0; Exceeds(0, best) && step > geom.SnapTolerance && rounds < improveRounds && r.ctx.Err() == nil; rounds++ {
		better := false
		// Eight ways, 45 degrees apart: a pattern search needs a set of ways that span the plane
		// positively (Torczon, "On the convergence of pattern search algorithms", 1997; value from
		// memory).
		for k := range 8 {
			to := at.Add(geom.Polar(step, geom.Radians(float64(k)*math.Pi/4)))
			if r.ctx.Err() != nil {
				return at
			}
			if m := margin(to); m > best+geom.Tiny && !r.afloat(to) {
				at, best, better = to, m, true
			}
		}
		if !better {
			step /= 2
		}
	}
	return at
}

// edgeOn is the sine of the angle under which a panel is seen edge-on: nothing
// moving past it meets its face.
const edgeOn = 1e-6

// sidelong is the sine of the angle, 1°, up to which a board runs along with a
// direction and does not bound the room in it: it bounds the room across. That
// the product is a little into its surface, by rounding, would count there for
// sixty times as much or more.
const sidelong = geom.DegreeSine

// free is how far the product can move in one of Directions before it meets a
// board's surface.
// The distance is from the product's faces that look ahead, through the space they
// sweep; boards behind its middle do not count.
func (r *room) free(g *product, direction int) float64 {
	view := newView(r.plates[r.on].frame, direction)
	mid := view.see(g.middle())
	least := math.Inf(1)
	faces := g.faces(view)
	r.surfaces(g, func(s *surface) bool {
		if slope := math.Abs(view.depthOf(s.normal)); slope >= sidelong {
			board := view.region(s.plate)
			for _, face := range faces {
				least = min(least, board.gap(face, mid.Z)-s.off/slope)
			}
		}
		return r.ctx.Err() == nil
	})
	return least
}

// view looks along a direction of movement: x and y across it, z along it.
// back leads from the world into the view.
type view struct{ back geom.RigidTransform }

// newView looks along one of Directions of a panel's frame.
func newView(on geom.RigidTransform, direction int) view {
	x, y, z := geom.Point3{X: 1}, geom.Point3{Y: 1}, geom.Point3{Z: 1}
	along := [...]geom.Point3{x.Mul(-1), x, y.Mul(-1), y, z.Mul(-1)}[direction]
	side := [...]geom.Point3{y, y, x, x, x}[direction]
	up := along.Cross(side)
	axes := geom.RigidTransform{R: [9]float64{
		side.X, side.Y, side.Z,
		up.X, up.Y, up.Z,
		along.X, along.Y, along.Z,
	}}
	return view{on.Inverse().Then(axes)}
}

// see gives a place as the view has it.
func (v view) see(at geom.Point3) geom.Point3 { return v.back.Apply(at) }

// depthOf is a direction's share along the view.
func (v view) depthOf(d geom.Point3) float64 { return v.back.ApplyDir(d).Z }

// seen is a plane region as a view has it: its outline and, over it, its
// depth.
type seen struct {
	loops  [][]geom.Point
	at     geom.Point3
	normal geom.Point3
}

// depth is how far along the view the plane lies over a point.
// normal.Z must not be 0: planes seen edge-on are left out before.
func (s *seen) depth(p geom.Point) float64 {
	return s.at.Z - s.normal.Plane().Dot(p.Sub(s.at.Plane()))/s.normal.Z
}

// region shows a body.
func (v view) region(s *plate) *seen {
	out := &seen{at: v.see(s.frame.T), normal: v.back.ApplyDir(s.normal)}
	for _, loop := range s.body.Loops {
		flat := make([]geom.Point, len(loop))
		for i, p := range loop {
			flat[i] = v.see(s.world(p)).Plane()
		}
		out.loops = append(out.loops, flat)
	}
	return out
}

// brush is how far, in mm, a face of the product is looked at inside its rim, so
// that a board it only brushes past does not count: more than folds found to
// 1e-9 mm leave, and far less than any clearance.
const brush = 1e-6

// faces are the product's faces that look along the view.
func (g *product) faces(v view) []*seen {
	m := g.frame.Then(v.back)
	loop, _ := flatten(g.footprint())
	var out []*seen
	// Base or top, whichever looks along the view.
	if n := m.Normal(); math.Abs(n.Z) > edgeOn {
		z := 0.0
		if n.Z < 0 {
			z = -g.height
		}
		var face []geom.Point3
		for _, p := range loop {
			face = append(face, geom.Point3{X: p.X, Y: p.Y, Z: z})
		}
		out = append(out, newFace(m, face, geom.Point3{Z: 1}))
	}
	for i, p := range loop {
		q := loop[(i+1)%len(loop)]
		normal := q.Sub(p).Unit().Left().Mul(-1).Space()
		// Sides seen edge-on or from behind meet nothing.
		if m.ApplyDir(normal).Z <= edgeOn {
			continue
		}
		low := geom.Point3{Z: -g.height}
		out = append(out, newFace(m, []geom.Point3{p.Space(), q.Space(), q.Space().Add(low), p.Space().Add(low)}, normal))
	}
	return out
}

// newFace shows a face, a convex loop, a brush inside its rim.
func newFace(m geom.RigidTransform, corners []geom.Point3, normal geom.Point3) *seen {
	out := &seen{at: m.Apply(corners[0]), normal: m.ApplyDir(normal)}
	loop := make([]geom.Point, len(corners))
	mid := geom.Point{}
	for i, p := range corners {
		loop[i] = m.Apply(p).Plane()
		mid = mid.Add(loop[i].Mul(1 / float64(len(corners))))
	}
	for i, p := range loop {
		in := mid.Sub(p)
		loop[i] = p.Add(in.Unit().Mul(min(brush, in.Len()/2)))
	}
	out.loops = [][]geom.Point{loop}
	return out
}

// gap is the least way from a face of the product to the board, over the places
// where the board lies ahead of the depth from; +Inf when it meets none. Over
// the common ground the way is linear, so it is least at a corner of it.
// Corners of the common ground are corners of one region inside the other and crossings
// of the rims. For n and m sides it takes some n·m steps.
func (s *seen) gap(face *seen, from float64) float64 {
	least := math.Inf(1)
	look := func(p geom.Point) {
		if d := s.depth(p); d > from {
			least = min(least, d-face.depth(p))
		}
	}
	for _, loop := range s.loops {
		for _, p := range loop {
			if polygon.Holds(face.loops, p) {
				look(p)
			}
		}
	}
	for _, p := range face.loops[0] {
		if polygon.Holds(s.loops, p) {
			look(p)
		}
	}
	for _, loop := range s.loops {
		for i, p := range loop {
			lookAlong(p, loop[(i+1)%len(loop)], face.loops[0], look)
		}
	}
	return least
}

// lookAlong calls look where the segment from p to q crosses a loop.
// Parallel sides (compared exactly) have no crossing.
func lookAlong(p, q geom.Point, loop []geom.Point, look func(geom.Point)) {
	d := q.Sub(p)
	for i, r := range loop {
		e := loop[(i+1)%len(loop)].Sub(r)
		across := d.Cross(e)
		if across == 0 {
			continue
		}
		w := r.Sub(p)
		t, u := w.Cross(e)/across, w.Cross(d)/across
		if t >= 0 && t <= 1 && u >= 0 && u <= 1 {
			look(p.Add(d.Mul(t)))
		}
	}
}
