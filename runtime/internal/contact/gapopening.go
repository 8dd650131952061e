package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// missOpening is how far panel i misses an opening of panel k that it should
// pass through: where its outline crosses the opening's plane, the largest
// distance of the crossing from the opening; where it does not reach that
// plane, the distance of its nearest point from the opening.
func (p *joints) missOpening(i, k int, w *model.Window, move geom.Point3) Miss {
	from, to := p.Pose.Place[i].RigidTransform, p.Pose.Place[k].RigidTransform
	carry := from.Then(geom.RigidTransform{R: geom.Identity3().R, T: move}).Then(to.Inverse())
	open := newTarget(p.ctx, w.Outline, slab{})
	loop := p.Piece.Panels[i].Outline.Flatten(Flatten)
	points := make([]geom.Point3, len(loop))
	for n, q := range loop {
		points[n] = carry.Apply(q.Space())
	}
	at, short := nearestTo(points)
	if !short {
		at = open.farthest(crossPoints(points))
	}
	v, edge := open.off(at)
	c := w.Outline.Edges[edge].Curve.Reverse() // board on the left
	t, _ := c.Nearest(at.Plane())
	m := Miss{To: ToOpening, Edge: w.Outline.Edges[edge].Name}
	p.fill(&m, i, from.Apply(carry.Inverse().Apply(at)), to, at, at.Sub(v), c.Tangent(t))
	return m
}

// nearestTo is the point of a chain nearest to the plane z = 0, and whether the
// chain falls short of it.
func nearestTo(points []geom.Point3) (at geom.Point3, short bool) {
	above, below := false, false
	at = points[0]
	for _, q := range points {
		above, below = above || q.Z >= 0, below || q.Z <= 0
		if math.Abs(q.Z) < math.Abs(at.Z) {
			at = q
		}
	}
	return at, !above || !below
}

// crossPoints lists where a closed chain passes through the plane z = 0, in the
// order of the chain.
func crossPoints(points []geom.Point3) []geom.Point3 {
	var out []geom.Point3
	for i, q := range points {
		r := points[(i+1)%len(points)]
		switch {
		case q.Z == 0:
			out = append(out, q)
		case q.Z*r.Z < 0:
			out = append(out, q.Lerp(r, q.Z/(q.Z-r.Z)))
		}
	}
	return out
}
