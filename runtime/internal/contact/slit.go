package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// slitReach is how far beside a slit, in mm, board passes through it all the same:
// a slit gives to either side, as a panel may lie a rim off its target (common
// practice, no source).
const slitReach = Rim

// Through lists the stretches of a line, given in the frame of the panel, that
// lead through an opening or a slit of it: through a slit where it runs within
// slitReach of the line.
// Stretches are in mm along dir, which is a unit vector, from at.
func Through(end model.JoinEnd, at, dir geom.Point) []Stretch {
	if end.Window != nil {
		return Along([][]geom.Point{end.Window.Outline.Flatten(Flatten)}, at, dir)
	}
	// The slit's places within slitReach of the line, from the first to the last of them: what
	// bends between is passed through.
	chain := end.Slit.Path.Flatten(Flatten)
	out := Stretch{math.Inf(1), math.Inf(-1)}
	for i := 1; i < len(chain); i++ {
		p, q := chain[i-1].Sub(at), chain[i].Sub(at)
		from, to, ok := within(dir.Cross(p), dir.Cross(q), slitReach)
		if !ok {
			continue
		}
		for _, t := range [...]float64{from, to} {
			s := dir.Dot(p.Lerp(q, t))
			out.From, out.To = min(out.From, s), max(out.To, s)
		}
	}
	if out.From > out.To {
		return nil
	}
	return []Stretch{out}
}

// within is the part, as shares, of a way from height a to height b that lies no
// farther than limit from nought.
// Height is linear along the way, from share 0 to share 1.
func within(a, b, limit float64) (from, to float64, ok bool) {
	from, to = 0, 1
	// Level: all of the way or none.
	if a == b {
		return from, to, math.Abs(a) <= limit
	}
	s, t := (-limit-a)/(b-a), (limit-a)/(b-a)
	from, to = max(from, min(s, t)), min(to, max(s, t))
	return from, to, from <= to
}

// missSlit is how far panel i misses a slit of panel k that it should pass
// through: where its outline crosses the slit's plane, the largest distance of the
// crossing from the slit; where it does not reach that plane, the distance of its
// nearest point from the slit. slitReach beside the slit and at its ends is
// forgiven.
func (p *joints) missSlit(i, k int, w *model.Work, move geom.Point3) Miss {
	from, to := p.Pose.Place[i].RigidTransform, p.Pose.Place[k].RigidTransform
	carry := from.Then(geom.RigidTransform{R: geom.Identity3().R, T: move}).Then(to.Inverse())
	points := p.Piece.Panels[i].Outline.Flatten(Flatten)
	chain := make([]geom.Point3, len(points))
	for n, q := range points {
		chain[n] = carry.Apply(q.Space())
	}
	places := crossPoints(chain)
	// A panel that does not reach the plane misses by its nearest point.
	if at, short := nearestTo(chain); short || len(places) == 0 {
		places = []geom.Point3{at}
	}
	worst := Miss{Raw: -1}
	for _, at := range places {
		if v, e := offSlit(w.Path, at); Exceeds(v.Len(), worst.Raw) {
			t, _ := e.Nearest(at.Plane())
			worst = Miss{To: ToOpening, Edge: e.Name}
			p.fill(&worst, i, from.Apply(carry.Inverse().Apply(at)), to, at, at.Sub(v), e.Tangent(t))
		}
	}
	return worst
}

// offSlit is the way from a slit, slitReach wide to either side, to a place, and
// the step of the slit's path nearest to it.
func offSlit(path geom.Path, at geom.Point3) (v geom.Point3, edge geom.Edge) {
	flat, best := at.Plane(), math.Inf(1)
	for _, e := range path.Edges {
		if t, d := e.Nearest(flat); Exceeds(best, d) {
			best, edge = d, e
			v = flat.Sub(e.At(t)).Space()
		}
	}
	if beyond := best - slitReach; beyond > 0 {
		v = v.Mul(beyond / best)
	} else {
		v = geom.Point3{}
	}
	v.Z = at.Z
	return v, edge
}
