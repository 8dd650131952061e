package scene

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Tolerances of standing.
const (
	// contactShare of the piece's extent is how far a corner may be off the ground
	// and still be taken to touch it: board that springs or a solved fold leave as
	// much, and a picture does not show it.
	contactShare = 0.002
	// flatShare of the extent is the height below which a piece lies in one plane:
	// it stands on nothing, and is shown like a sheet on a wall.
	flatShare = 0.02
	// edgeShare of the extent is how near an edge to stand on corners are passed over,
	// as a caliper would turn them far about it. edgeSlack, in radians, is by how much
	// the rest may fill more than a half turn, for the calipers of their layers.
	edgeShare = 0.01
	edgeSlack = 0.02
	// widerShare is by how much more area a later base must have to be preferred to
	// an earlier one, so that bases that are alike up to rounding keep their order.
	widerShare = 1e-6
	// leastTip is the least tangent of the angle by which a piece must be tipped before it
	// falls over: three degrees. Common practice, no source.
	leastTip = 0.05
	// mostLean is the greatest tangent of the lean of a root panel that stands on its foot
	// edge: 35 degrees.
	mostLean = 0.7
	// mostCorners is how many corners are looked at for a base; of more, every n-th is
	// taken. mostBases is how many directions are tried. Together they bound the time.
	mostCorners = 1200
	mostBases   = 200
	// levelCosine is the least cosine with the vertical at which the root panel
	// counts as lying level and cannot say where the front is.
	levelCosine = 0.7
)

// Stand is how a piece stands: the motion that takes the axes of a View made by Look
// to those of the piece, so that its +y is up and its +z the front.
//
// The ground is the panel on, if it has a placement, with the centre of mass above
// it, or where foot is an edge of it the facet of the convex hull of all board at that
// edge on which the panel stands upright. Otherwise it is the foot of a card that stands by
// its edges (see footEdges) or the widest facet of the hull above which the centre of mass
// lies (see widestBase). ok is false where there is none, as for board in one plane; the
// root panel is then upright.
//
// The front is the outside of the root panel or, where that lies level, the side of
// its lower edge as it is drawn, or the upper one where it lies with its outside down.
func (sc *Scene) Stand(on *model.Panel, foot *model.EdgeRef) (m geom.RigidTransform, level, ok bool) {
	m.R = [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}
	up, ok := sc.upFrom(on, foot)
	if !ok {
		return m, false, false
	}
	front := geom.Point3{Z: 1}
	if high := up.Z; math.Abs(high) > levelCosine {
		level, front = true, geom.Point3{Y: 1}
		if high > 0 {
			front.Y = -1
		}
	}
	front = front.Sub(up.Mul(front.Dot(up))).Unit()
	right := up.Cross(front)
	m.R = [9]float64{
		right.X, up.X, front.X,
		right.Y, up.Y, front.Y,
		right.Z, up.Z, front.Z,
	}
	return m, level, true
}

// upFrom is the way up, a unit vector of the world, of the piece standing on a panel, or
// an edge of it, or without one on its widest base.
func (sc *Scene) upFrom(on *model.Panel, foot *model.EdgeRef) (geom.Point3, bool) {
	pts, centre := sc.corners()
	if len(pts) == 0 {
		return geom.Point3{}, false
	}
	for _, b := range sc.plates {
		if b.panel == on && foot != nil {
			if up, ok := upOnEdge(pts, centre, b.place.Normal(), b.place.Apply(foot.Start().Space()), b.place.Apply(foot.End().Space())); ok {
				return up, true
			}
			break
		}
		if b.panel == on && on != nil {
			up := b.place.Normal().Mul(-1)
			if centre.Sub(b.place.Apply(b.hull[0].Space())).Dot(up) < -contactShare*extent(pts) {
				up = up.Mul(-1)
			}
			return steady(up), true
		}
	}
	up, ok := sc.widestBase(pts, centre)
	if !ok || !sc.closedAbove(pts, up) {
		if foot, stands := sc.footEdges(pts, centre); stands {
			return foot, true
		}
	}
	return up, ok
}

// upOnEdge is the way up of points that stand on the edge from p to q. Seen along the
// edge the points fill a wedge; where that is less than a half turn the planes of its
// sides hold all points on one side, and the ground is the one on which the edge's panel,
// which has that normal, stands more upright.
// It is not ok where points lie all round the edge, or in one plane with it.
func upOnEdge(pts []geom.Point3, centre, normal, p, q geom.Point3) (up geom.Point3, ok bool) {
	beside := edgeShare * extent(pts)
	along := q.Sub(p).Unit()
	square := func(w geom.Point3) geom.Point3 { w = w.Sub(p); return w.Sub(along.Mul(w.Dot(along))) }
	x := square(centre).Unit()
	y := along.Cross(x)
	low, high := 0.0, 0.0
	for _, w := range pts {
		if d := square(w); d.Len() > beside {
			turn := math.Atan2(d.Dot(y), d.Dot(x))
			low, high = min(low, turn), max(high, turn)
		}
	}
	switch excess := high - low - math.Pi; {
	case excess > edgeSlack, high-low < edgeSlack:
		return up, false
	case excess > 0: // the ground lies on both sides of the edge
		low, high = low+excess/2, high-excess/2
	}
	up, other := y.Mul(math.Cos(low)).Sub(x.Mul(math.Sin(low))), x.Mul(math.Sin(high)).Sub(y.Mul(math.Cos(high)))
	if math.Abs(other.Dot(normal)) < math.Abs(up.Dot(normal)) {
		up = other
	}
	return steady(up), true
}

// steady rounds the last bits of a direction away, so that a view along an axis is
// just that.
func steady(v geom.Point3) geom.Point3 {
	const grid = 1 << 30
	r := func(x float64) float64 { return math.Round(x*grid)/grid + 0 } // + 0 turns −0 into 0
	return geom.Point3{X: r(v.X), Y: r(v.Y), Z: r(v.Z)}.Unit()
}

// corners lists the corners of all plates' hulls in the world, and the centre of mass
// of the board, each plate counted with its area at the middle of its hull.
func (sc *Scene) corners() (pts []geom.Point3, centre geom.Point3) {
	mass := 0.0
	for _, b := range sc.plates {
		var mid geom.Point3
		for _, p := range b.hull {
			w := b.place.Apply(p.Space())
			pts = append(pts, w)
			mid = mid.Add(w)
		}
		area := 0.0
		for _, r := range b.rings {
			area += polygon.Area(r)
		}
		centre = centre.Add(mid.Mul(area / float64(len(b.hull))))
		mass += area
	}
	centre = centre.Mul(1 / max(mass, geom.Tiny))
	if n := (len(pts) + mostCorners - 1) / mostCorners; n > 1 {
		kept := pts[:0]
		for i := 0; i < len(pts); i += n {
			kept = append(kept, pts[i])
		}
		pts = kept
	}
	return pts, centre
}

// extent is the largest side of the bounding box of points, in mm.
func extent(pts []geom.Point3) float64 {
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo = geom.Point3{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = geom.Point3{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	d := hi.Sub(lo)
	return max(d.X, d.Y, d.Z)
}

// widestBase is the way up of a piece on the widest base on which it is stable. The
// facets of the convex hull that are looked at are those along a panel's plane, on
// either side of it, and those square to the axes of the root panel, such as the rim
// of a tray. Of bases of the same size the first in that order is taken.
func (sc *Scene) widestBase(pts []geom.Point3, centre geom.Point3) (up geom.Point3, ok bool) {
	size := extent(pts)
	var tried []geom.Point3
	area := 0.0
	try := func(down geom.Point3) bool {
		down = steady(down)
		if slices.Contains(tried, down) {
			return true
		}
		tried = append(tried, down)
		low, high := rangeAlong(pts, down)
		if high-low <= flatShare*size {
			return false
		}
		a, margin := base(pts, centre, down, high-contactShare*size)
		if margin >= leastTip*(high-centre.Dot(down)) && a > area*(1+widerShare) {
			area, up, ok = a, down.Mul(-1), true
		}
		return true
	}
	for _, b := range sc.plates {
		n := b.place.Normal()
		if len(tried) < mostBases && !(try(n) && try(n.Mul(-1))) {
			return up, false
		}
	}
	for _, d := range [...]geom.Point3{{Y: -1}, {Z: -1}, {X: -1}, {X: 1}, {Z: 1}, {Y: 1}} {
		if !try(d) {
			return up, false
		}
	}
	return up, ok
}

// rangeAlong is the least and greatest coordinate of points along a unit vector.
func rangeAlong(pts []geom.Point3, way geom.Point3) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		d := p.Dot(way)
		low, high = min(low, d), max(high, d)
	}
	return low, high
}

// base is the area in mm² of the support polygon of the points beyond a coordinate
// along down, and how far within it the centre of mass stands, in mm; negative outside.
func base(pts []geom.Point3, centre, down geom.Point3, ground float64) (area, margin float64) {
	x := geom.Point3{X: 1}
	if math.Abs(down.X) > levelCosine {
		x = geom.Point3{Y: 1}
	}
	x = x.Sub(down.Mul(x.Dot(down))).Unit()
	y := down.Cross(x)
	var touch []geom.Point
	for _, p := range pts {
		if p.Dot(down) >= ground {
			touch = append(touch, geom.Pt(p.Dot(x), p.Dot(y)))
		}
	}
	hull := polygon.Hull([][]geom.Point{touch})
	if len(hull) < 3 {
		return 0, math.Inf(-1)
	}
	at, margin := geom.Pt(centre.Dot(x), centre.Dot(y)), math.Inf(1)
	for i, q := range hull {
		p := hull[(i+len(hull)-1)%len(hull)]
		margin = min(margin, q.Sub(p).Unit().Cross(at.Sub(p)))
	}
	return polygon.Area(hull), margin
}
