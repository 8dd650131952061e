package contact

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// layer looks at two panels that are as good as parallel.
func (p *Posed) layer(i, j int) (Layer, bool) {
	a, b := &p.stands[i], &p.stands[j]
	g := ground(a, b)
	if g.area == 0 {
		return Layer{}, false
	}
	// b's plane over a's frame is level but for the last thousandth.
	to := b.onto(a)
	n := to.Normal()
	height := func(q geom.Point) float64 { return (to.T.Sub(q.Space())).Dot(n) / n.Z }
	for _, q := range g.rim {
		if math.Abs(height(q)) > p.reach() {
			return Layer{}, false
		}
	}
	l := Layer{A: i, B: j, Area: g.area, At: a.world(g.spot), AtBlank: a.body.Panel.Flat.Apply(g.spot)}
	z := height(g.spot)
	l.Gap = math.Abs(z)
	l.Hinged = len(p.hinged[pair{i, j}]) > 0
	l.Glued = p.glued[pair{i, j}] && p.Pose.Pose.Glued
	l.Inside, l.sure = p.lies(i, j, z)
	return l, true
}

// lies says whether panel j, which lies z mm outside panel i, is on its inside:
// its distance tells, or the turn of the hinge that folded one on the other;
// with neither, what is made later lies inside.
func (p *Posed) lies(i, j int, z float64) (inside, sure bool) {
	if math.Abs(z) > geom.SnapTolerance {
		return z < 0, true
	}
	for _, k := range p.hinged[pair{i, j}] {
		turn := p.Pose.Angles[k]
		if !turn.OK || math.Abs(turn.Degrees) < 90 {
			continue
		}
		// Folded on one another they face opposite ways, so each lies on the
		// other's inside when the turn is positive.
		return turn.Degrees > 0, true
	}
	return true, false
}

// overlap is the common ground of two parallel bodies, in the frame of the
// first.
type overlap struct {
	area float64 // 0 when there is none wider than a weld
	spot geom.Point
	rim  []geom.Point
}

// ground lays b on a along a's normal.
func ground(a, b *stand) overlap {
	m := b.onto(a)
	shared := polygon.Clip(laid(b.body.Hull, m), a.body.Hull)
	if !polygon.Solid(shared) {
		return overlap{}
	}
	if a.body.Convex && b.body.Convex {
		return overlap{polygon.Area(shared), polygon.Centroid(shared), shared}
	}
	rings, err := region.Intersect(a.body.Rings, laidRings(b.body.Rings, level(m)))
	if err != nil {
		// Rings that do not close are a fault of the blank, told there. The
		// hulls' common ground holds all there can be.
		return overlap{polygon.Area(shared), polygon.Centroid(shared), shared}
	}
	var loops [][]geom.Point
	out := overlap{}
	for _, r := range rings {
		loop, _ := flatten(r)
		loops = append(loops, loop)
		out.area += polygon.Area(loop)
		out.rim = append(out.rim, loop...)
	}
	if len(loops) > 0 {
		out.spot = spotIn(loops)
	}
	return out
}

// laid is a loop seen along the normal of another frame, counter-clockwise
// again where it is seen from its back.
func laid(loop []geom.Point, m geom.RigidTransform) []geom.Point {
	out := make([]geom.Point, len(loop))
	for i, p := range loop {
		out[i] = m.Apply(p.Space()).Plane()
	}
	if m.Normal().Z < 0 {
		slices.Reverse(out)
	}
	return out
}

// level is the motion of the plane that a motion of space is but for a tilt of
// next to nothing; seen from the back it mirrors.
func level(m geom.RigidTransform) geom.Isometry {
	turn := geom.Rotation(geom.Pt(m.R[0], m.R[3]).Angle(), geom.Point{}).Then(geom.Translation(m.T.X, m.T.Y))
	if m.Normal().Z < 0 {
		return geom.FlipY().Then(turn)
	}
	return turn
}

// laidRings moves rings and keeps their board on the left.
func laidRings(rings []blank.Ring, m geom.Isometry) []blank.Ring {
	out := make([]blank.Ring, len(rings))
	for i, r := range rings {
		ring := make(blank.Ring, len(r))
		for k, c := range r {
			ring[k] = c.Transform(m)
		}
		if m.Mirrors() {
			slices.Reverse(ring)
			for k, c := range ring {
				ring[k] = c.Reverse()
			}
		}
		out[i] = ring
	}
	return out
}
