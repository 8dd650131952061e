package contact

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// slab is what counts as lying on a panel: its outline filled in and grown by
// rim, from lo to hi over its surface.
// Heights are over the mid-surface, mm, positive outside.
type slab struct {
	lo, hi, rim float64
	corners     bool // look at corners only: good enough to search with
}

// slab says what counts as lying on the target of a join.
// A tuck lies on the outside of its target from 0 to tuckCalipers, else from
// −tuckCalipers to 0; glue within a caliper to either side. exactly gives no rim, no
// height to glue, and looks at corners alone: the searches for a size (bestSize) need
// a gap that grows from nought, and ask often.
func (p *Posed) slab(j *model.Join, l leave) slab {
	switch {
	case j.Kind == model.TuckJoin && j.Outside:
		return slab{hi: tuckCalipers * p.caliper, rim: rimOf(l), corners: l == exactly}
	case j.Kind == model.TuckJoin && l == asAsked:
		return slab{lo: -tuckCalipers * p.caliper, rim: Rim}
	case j.Kind == model.TuckJoin:
		return slab{lo: -tuckCalipers * p.caliper, corners: true}
	case l == asAsked:
		return slab{lo: -p.caliper, hi: p.caliper, rim: Rim}
	}
	return slab{corners: true}
}

// rimOf is how far beyond the outline counts as on it.
func rimOf(l leave) float64 {
	if l == asAsked {
		return Rim
	}
	return 0
}

// joined is what of A a join is about: its outline, or the part that is glued.
func joined(j *model.Join) geom.Path {
	if j.Area != nil {
		return *j.Area
	}
	return j.A.Panel.Outline
}

// missPanel is the largest distance from a point of a shape of panel i to panel
// k's outline, thickened to a slab. Windows count for nothing.
// The shape is in panel i's frame. Only its rim is looked at, where the distance from a
// convex target is largest.
func (p *joints) missPanel(i int, shape geom.Path, k int, s slab, move geom.Point3) Miss {
	from, to := p.Pose.Place[i].RigidTransform, p.Pose.Place[k].RigidTransform
	carry := from.Then(geom.RigidTransform{R: geom.Identity3().R, T: move}).Then(to.Inverse())
	target := newTarget(p.ctx, p.Piece.Panels[k].Outline, s)
	loop := shape.Flatten(Flatten)
	points := make([]geom.Point3, len(loop))
	for n, q := range loop {
		points[n] = carry.Apply(q.Space())
	}
	far := target.farthest(points)
	v, edge := target.off(far)
	m := Miss{To: ToPanel, Edge: target.outline.Edges[edge].Name}
	c := target.outline.Edges[edge].Curve
	t, _ := c.Nearest(far.Plane())
	p.fill(&m, i, from.Apply(carry.Inverse().Apply(far)), to, far, far.Sub(v), c.Tangent(t))
	return m
}

// target is a panel's outline, thickened, in its own frame.
// The outline runs counter-clockwise: board on the left of a panel's, on the right of
// a window's.
type target struct {
	slab
	ctx     context.Context
	outline geom.Path
	loops   [][]geom.Point
	plain   bool // corners of what should lie on it tell all
}

// newTarget thickens an outline to a slab. For a convex one, or where corners are asked for only,
// the farthest place of a chain is one of its corners.
func newTarget(ctx context.Context, outline geom.Path, s slab) *target {
	loop := outline.Flatten(Flatten)
	return &target{s, ctx, outline, [][]geom.Point{loop}, s.corners || polygon.Convex(loop)}
}

// off is the way from the target to a point and the edge nearest to it.
// v is zero for a point within the slab over the outline grown by rim. Edge is an
// index of outline.Edges.
func (t *target) off(q geom.Point3) (v geom.Point3, edge int) {
	flat := q.Plane()
	// The nearest edge in the plane decides, also for a point over the board, as its name is told.
	near, best := geom.Point{}, math.Inf(1)
	for i, e := range t.outline.Edges {
		if s, d := e.Nearest(flat); Exceeds(best, d) {
			near, best, edge = e.At(s), d, i
		}
	}
	if beyond := best - t.rim; beyond > 0 && !polygon.Holds(t.loops, flat) {
		v = flat.Sub(near).Mul(beyond / best).Space()
	}
	v.Z = q.Z - min(max(q.Z, t.lo), t.hi)
	return v, edge
}

// distance is how far a point lies from the target.
func (t *target) distance(q geom.Point3) float64 {
	v, _ := t.off(q)
	return v.Len()
}

// farthest is the place on a closed chain that lies farthest from the target.
// Distance from a convex target is largest at a corner; from any other, the
// chords are searched too.
// It may stop early when the context ends; the result is then of no use.
func (t *target) farthest(chain []geom.Point3) geom.Point3 {
	best, most := chain[0], t.distance(chain[0])
	for _, q := range chain[1:] {
		if t.ctx.Err() != nil {
			return best
		}
		if d := t.distance(q); Exceeds(d, most) {
			best, most = q, d
		}
	}
	if t.plain {
		return best
	}
	for i, q := range chain {
		best, most = t.search(q, chain[(i+1)%len(chain)], best, most)
	}
	return best
}

// searchTo is how near to the largest distance the search comes, in mm.
const searchTo = 0.01

// search looks for a place between q and r farther off than most. No point is
// farther off than the middle by more than half the length between.
// Each step halves the chord, so that the depth is about log₂(length/searchTo) at most.
func (t *target) search(q, r, best geom.Point3, most float64) (geom.Point3, float64) {
	if t.ctx.Err() != nil {
		return best, most
	}
	// Distance is 1-Lipschitz: along a chord it changes by no more than the way does, so a half
	// whose middle is near enough cannot hold a farther place.
	mid := q.Lerp(r, 0.5)
	d := t.distance(mid)
	if Exceeds(d, most) {
		best, most = mid, d
	}
	if half := q.Dist(r) / 2; d+half <= most+searchTo {
		return best, most
	}
	best, most = t.search(q, mid, best, most)
	return t.search(mid, r, best, most)
}

// moved is how far the points of A's outline have moved on B since closed. The
// farthest is a corner of the outline's hull.
// Both places are compared in the frame of B, so that a motion of the two together
// counts for nothing. Along is measured along B's x axis.
func (p *Posed) moved(j *model.Join, closed *Posed) Miss {
	a, b := p.index[j.A.Panel], p.index[j.B.Panel]
	to := p.Pose.Place[b].RigidTransform
	now := p.Pose.Place[a].Then(to.Inverse())
	was := closed.Pose.Place[a].Then(closed.Pose.Place[b].Inverse())
	worst := Miss{Raw: -1}
	for _, q := range joined(j).Flatten(Flatten) {
		l, w := now.Apply(q.Space()), was.Apply(q.Space())
		if d := l.Dist(w); Exceeds(d, worst.Raw) {
			worst = Miss{To: Moved}
			p.fill(&worst, a, to.Apply(l), to, l, w, geom.Pt(1, 0))
		}
	}
	return worst
}
