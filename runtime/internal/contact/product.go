package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// product is a product standing in the world: a box or a cylinder. Its own
// frame has the middle of its base at the origin and z outward like the panel
// it stands on, so it fills z from −height to 0.
// For a cylinder x is the radius. frame leads to the world, back from there.
type product struct {
	round  bool
	x, y   float64 // half sizes; the radius twice
	height float64
	frame  geom.RigidTransform
	back   geom.RigidTransform
}

// newProduct stands contents over a point of a panel's frame, rest mm inside it.
func newProduct(c *model.Contents, on geom.RigidTransform, at geom.Point, rest float64) *product {
	g := &product{round: c.Round, x: c.Size[0] / 2, y: c.Size[1] / 2, height: c.Size[2]}
	g.frame = geom.RotationAbout(geom.Point3{}, geom.Point3{Z: 1}, geom.Degrees(c.TurnDegrees).Angle()).
		Then(geom.RigidTransform{R: geom.Identity3().R, T: geom.Point3{X: at.X, Y: at.Y, Z: -rest}}).
		Then(on)
	g.back = g.frame.Inverse()
	return g
}

// middle is the centre of the product in the world.
func (g *product) middle() geom.Point3 { return g.frame.Apply(geom.Point3{Z: -g.height / 2}) }

// beyond leads to a place from the nearest point of the product, both in its own
// frame; zero within it.
// Its length is a convex function of q, as the product is convex.
func (g *product) beyond(q geom.Point3) geom.Point3 {
	past := func(v, low, high float64) float64 { return v - min(max(v, low), high) }
	z := past(q.Z, -g.height, 0)
	if !g.round {
		return geom.Point3{X: past(q.X, -g.x, g.x), Y: past(q.Y, -g.y, g.y), Z: z}
	}
	// Outside the circle the nearest point lies on the ray from the axis.
	if r := q.Plane().Len(); r > g.x {
		return geom.Point3{X: q.X * (1 - g.x/r), Y: q.Y * (1 - g.x/r), Z: z}
	}
	return geom.Point3{Z: z}
}

// distance is how far a place in the product's own frame lies outside it.
func (g *product) distance(q geom.Point3) float64 { return g.beyond(q).Len() }

// support is the product's point farthest in a direction, both in its frame.
// Where several points are as far, one of them: for a box a corner.
func (g *product) support(d geom.Point3) geom.Point3 {
	p := geom.Point3{X: math.Copysign(g.x, d.X), Y: math.Copysign(g.y, d.Y)}
	if g.round {
		p = d.Plane().Unit().Mul(g.x).Space()
	}
	if d.Z < 0 {
		p.Z = -g.height
	}
	return p
}

// footprint is the base as an outline about the origin of its frame.
// It runs counter-clockwise in the plane z = 0.
func (g *product) footprint() []geom.Curve {
	if g.round {
		var out []geom.Curve
		from := geom.Pt(g.x, 0)
		for range 4 {
			out = append(out, geom.ArcBetween(from, from.Left(), geom.Point{}, geom.Radians(math.Pi/2)))
			from = from.Left()
		}
		return out
	}
	corners := []geom.Point{{X: -g.x, Y: -g.y}, {X: g.x, Y: -g.y}, {X: g.x, Y: g.y}, {X: -g.x, Y: g.y}}
	var out []geom.Curve
	for i, p := range corners {
		out = append(out, geom.LineFrom(p, corners[(i+1)%4]))
	}
	return out
}

// clear is the distance from the product to a body's mid-surface and the spot
// of the body it is measured at, in the world; below 0, how far the product
// would have to move to come clear of it.
func (g *product) clear(s *plate) (float64, geom.Point3) { return g.clearOf(s, s) }

// clearOf is clear for a part of a body; the product comes clear of the whole.
func (g *product) clearOf(s, whole *plate) (float64, geom.Point3) {
	// The distance from the product grows convexly over the body's plane, so it
	// is least where the plane comes nearest, if board is there, or on a rim.
	dist, at, apart := g.planeNearest(s)
	if !polygon.Holds(s.body.Loops, s.local(g.frame.Apply(at)).Plane()) {
		dist, at = g.rimNearest(s)
	}
	if !apart && dist < geom.Tiny {
		dist = -g.depth(whole)
	}
	return dist, g.frame.Apply(at)
}

// rimNearest is the distance from the product to a body's rims and the spot of
// them it is measured at, in the product's frame.
// Chords whose middle tells that they are too far are passed over (edgeNearest).
func (g *product) rimNearest(s *plate) (dist float64, at geom.Point3) {
	dist = math.Inf(1)
	for _, loop := range s.body.Loops {
		prev := g.back.Apply(s.world(loop[len(loop)-1]))
		for _, p := range loop {
			q := g.back.Apply(s.world(p))
			dist, at = g.edgeNearest(prev, q, dist, at)
			prev = q
		}
	}
	return dist, at
}

// planeNearest is the distance from the product to the plane of a body and a
// nearest point of the plane; apart is false when the plane cuts the product,
// and then the point is one inside it. Points are in the product's frame.
func (g *product) planeNearest(s *plate) (dist float64, spot geom.Point3, apart bool) {
	n := g.back.ApplyDir(s.normal)
	level := n.Dot(g.back.Apply(s.frame.T))
	top, low := g.support(n), g.support(n.Mul(-1))
	// The product's extent along the plane's normal, by its support points, against the plane's
	// level: both on one side, and it is apart.
	hi, lo := n.Dot(top)-level, n.Dot(low)-level
	switch {
	case hi <= 0:
		return -hi, top.Sub(n.Mul(hi)), true
	case lo >= 0:
		return lo, low.Sub(n.Mul(lo)), true
	}
	return 0, top.Lerp(low, hi/(hi-lo)), false
}

// edgeNearest looks for a point of the segment from p to q nearer to the
// product than dist. The distance along it is convex and grows where the
// segment leads the way that leads out of the product.
func (g *product) edgeNearest(p, q geom.Point3, dist float64, at geom.Point3) (float64, geom.Point3) {
	way := q.Sub(p)
	// The distance changes by no more than its place moves, so no point of the segment is nearer
	// than its middle less half its length. Segments passed over so would change nothing below.
	if g.distance(p.Lerp(q, 0.5))-way.Len()/2 >= dist {
		return dist, at
	}
	spot := p.Lerp(q, valley(func(t float64) float64 { return g.beyond(p.Lerp(q, t)).Dot(way) }))
	if d := g.distance(spot); d < dist {
		return d, spot
	}
	return dist, at
}

// valley is where between 0 and 1 a function whose slope grows is least.
// A slope that is nought over a stretch is found somewhere in it.
func valley(slope func(float64) float64) float64 {
	switch {
	case slope(0) >= 0:
		return 0
	case slope(1) <= 0:
		return 1
	}
	_, at := geom.Bisect(0, 1, func(t float64) bool { return slope(t) < 0 })
	return at
}

// depth is the shortest of the moves that part the product from a body's hull:
// square to the panel, out over one of its edges, or along the product's axes.
// Each way is tried in both senses. It is 0 where some way shows them apart.
func (g *product) depth(s *plate) float64 {
	points := make([]geom.Point3, len(s.hull))
	for i, p := range s.hull {
		points[i] = g.back.Apply(p)
	}
	ways := []geom.Point3{g.back.ApplyDir(s.normal), {Z: 1}}
	if !g.round {
		ways = append(ways, geom.Point3{X: 1}, geom.Point3{Y: 1})
	}
	for _, e := range s.sides {
		ways = append(ways, g.back.ApplyDir(e.out))
	}
	least := math.Inf(1)
	// Along each way the overlap of two intervals: the least of them parts the two, an upper bound
	// as edge pairs are left out.
	for _, w := range ways {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			lo, hi = min(lo, p.Dot(w)), max(hi, p.Dot(w))
		}
		top, low := g.support(w).Dot(w), g.support(w.Mul(-1)).Dot(w)
		least = min(least, min(top-lo, hi-low))
	}
	return max(0, least)
}
