package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/polygon"
)

// goods is the product standing in the world: a box or a cylinder. Its own
// frame has the middle of its base at the origin and z outward like the panel
// it stands on, so it fills z from −height to 0.
type goods struct {
	round  bool
	x, y   float64 // half sizes; the radius twice
	height float64
	frame  geom.Motion3
	back   geom.Motion3
}

// newGoods stands contents over a point of a panel's frame, rest mm inside it.
func newGoods(c *model.Contents, on geom.Motion3, at geom.Point, rest float64) *goods {
	g := &goods{round: c.Round, x: c.Size[0] / 2, y: c.Size[1] / 2, height: c.Size[2]}
	g.frame = geom.TurnAbout(geom.Point3{}, geom.Point3{Z: 1}, geom.Degrees(c.Turn)).
		Then(geom.Motion3{R: geom.Identity3().R, T: geom.Point3{X: at.X, Y: at.Y, Z: -rest}}).
		Then(on)
	g.back = g.frame.Inverse()
	return g
}

// middle is the centre of the product in the world.
func (g *goods) middle() geom.Point3 { return g.frame.Apply(geom.Point3{Z: -g.height / 2}) }

// distance is how far a place in the product's own frame lies outside it.
func (g *goods) distance(q geom.Point3) float64 {
	var side float64
	if g.round {
		side = math.Max(0, math.Hypot(q.X, q.Y)-g.x)
	} else {
		side = math.Hypot(math.Max(0, math.Abs(q.X)-g.x), math.Max(0, math.Abs(q.Y)-g.y))
	}
	return math.Hypot(side, math.Max(0, math.Max(q.Z, -g.height-q.Z)))
}

// support is the product's point farthest in a direction, both in its frame.
func (g *goods) support(d geom.Point3) geom.Point3 {
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
func (g *goods) footprint() []geom.Curve {
	if g.round {
		var out []geom.Curve
		from := geom.Pt(g.x, 0)
		for range 4 {
			out = append(out, geom.ArcBetween(from, from.Left(), geom.Point{}, math.Pi/2))
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
func (g *goods) clear(s *stand) (float64, geom.Point3) {
	// The distance from the product grows convexly over the body's plane, so it
	// is least where the plane comes nearest, if board is there, or on a rim.
	near, spot, apart := g.planeNearest(s)
	dist, at := math.Inf(1), geom.Point3{}
	if polygon.Holds(s.body.Loops, s.local(g.frame.Apply(spot)).Plane()) {
		dist, at = near, spot
	}
	for _, loop := range s.body.Loops {
		prev := g.back.Apply(s.world(loop[len(loop)-1]))
		for _, p := range loop {
			q := g.back.Apply(s.world(p))
			dist, at = g.edgeNearest(prev, q, dist, at)
			prev = q
		}
	}
	if !apart && dist < geom.Tiny {
		dist = -g.depth(s)
	}
	return dist, g.frame.Apply(at)
}

// planeNearest is the distance from the product to the plane of a body and a
// nearest point of the plane; apart is false when the plane cuts the product,
// and then the point is one inside it. Points are in the product's frame.
func (g *goods) planeNearest(s *stand) (dist float64, spot geom.Point3, apart bool) {
	n := g.back.ApplyDir(s.normal)
	level := n.Dot(g.back.Apply(s.frame.T))
	top, low := g.support(n), g.support(n.Mul(-1))
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
// product than dist; the distance along it is convex, so a golden section finds
// the least.
func (g *goods) edgeNearest(p, q geom.Point3, dist float64, at geom.Point3) (float64, geom.Point3) {
	if g.distance(p.Lerp(q, 0.5))-p.Dist(q)/2 >= dist {
		return dist, at
	}
	f := func(t float64) float64 { return g.distance(p.Lerp(q, t)) }
	t := leastOf(f, 0, 1, 60)
	for _, t := range [...]float64{t, 0, 1} {
		if d := f(t); d < dist {
			dist, at = d, p.Lerp(q, t)
		}
	}
	return dist, at
}

// leastOf narrows the least value of a function with one valley by the golden
// section.
func leastOf(f func(float64) float64, lo, hi float64, rounds int) float64 {
	const golden = 1 / math.Phi
	l, h := hi-(hi-lo)*golden, lo+(hi-lo)*golden
	fl, fh := f(l), f(h)
	for range rounds {
		if fl < fh {
			hi, h, fh = h, l, fl
			l = hi - (hi-lo)*golden
			fl = f(l)
		} else {
			lo, l, fl = l, h, fh
			h = lo + (hi-lo)*golden
			fh = f(h)
		}
	}
	return (lo + hi) / 2
}

// depth is the shortest of the moves that part the product from a body's hull:
// square to the panel, out over one of its edges, or along the product's axes.
func (g *goods) depth(s *stand) float64 {
	points := make([]geom.Point3, len(s.hull))
	for i, p := range s.hull {
		points[i] = g.back.Apply(p)
	}
	ways := []geom.Point3{g.back.ApplyDir(s.normal), {Z: 1}}
	if !g.round {
		ways = append(ways, geom.Point3{X: 1}, geom.Point3{Y: 1})
	}
	for _, e := range s.rim() {
		ways = append(ways, g.back.ApplyDir(e.out))
	}
	least := math.Inf(1)
	for _, w := range ways {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			lo, hi = math.Min(lo, p.Dot(w)), math.Max(hi, p.Dot(w))
		}
		top, low := g.support(w).Dot(w), g.support(w.Mul(-1)).Dot(w)
		least = math.Min(least, math.Min(top-lo, hi-low))
	}
	return math.Max(0, least)
}
