package geom

import "math"

// Round replaces corners by arcs of radius r, in millimetres, tangent to both
// neighbours. Corners are pairs of edge names; nil means every corner at which
// the path does not run on smoothly. The new arc is named by its neighbours in
// order of travel, right-top. A radius of 0 changes nothing; one that does not
// fit is an error with the corner and the largest radius that does.
func (p Path) Round(r float64, corners [][2]string) (Path, error) {
	return p.cutCorners("radius", r, corners, fillet)
}

// Chamfer replaces corners by straight lines that begin and end d millimetres
// from the corner, measured along the edges; corners and names as in Round.
func (p Path) Chamfer(d float64, corners [][2]string) (Path, error) {
	return p.cutCorners("chamfer", d, corners, chamfer)
}

// chamfer is the cutter of Chamfer; size is d in mm. Either edge may be shorter
// than d by fitSlack, where ParamAt gives the edge's far end.
func chamfer(a, b Curve, d float64) (cut, bool) {
	la, lb := a.Length(), b.Length()
	if d > la+fitSlack || d > lb+fitSlack {
		return cut{}, false
	}
	s, t := a.ParamAt(la-d), b.ParamAt(d)
	return cut{s, t, LineFrom(a.At(s), b.At(t))}, true
}

// filletSteps is how many steps the radius grows in. A step is halved up to
// filletHalvings times where Newton's method does not converge from the last
// radius, and doubled again after one that does. filletTries bounds the steps in
// all, so that time is bounded: those with the least step would number
// 16·2²⁰ otherwise. A corner that needs more counts as one that the radius does
// not fit.
const (
	filletSteps    = 16
	filletHalvings = 20
	filletTries    = 2000
)

// filletState is a point of the family of arcs tangent to both curves near
// their corner: the radius and where it touches.
type filletState struct {
	a, b    Curve
	side    float64 // +1 where the corner turns left, else −1
	r, s, t float64
}

// fillet finds the arc tangent to the end of a and the start of b. It grows
// the radius from 0, where the arc sits in the corner, so that the arc found
// is the one that belongs to this corner, and no more of either curve is used
// than there is.
func fillet(a, b Curve, r float64) (cut, bool) {
	f := filletState{a: a, b: b, s: 1, side: 1}
	// By the rounded sign: corners with a sine near 0 are smooth, and no corners.
	if a.Tangent(1).Cross(b.Tangent(0)) < 0 {
		f.side = -1
	}
	most, least := r/filletSteps, r/filletSteps/(1<<filletHalvings)
	if a.Kind == Line && b.Kind == Line {
		most = r // the equations are linear
	}
	step := most
	for range filletTries {
		next, ok := f.grow(math.Min(r, f.r+step))
		if !ok {
			if step /= 2; step < least {
				break
			}
			continue
		}
		if f = next; f.r >= r {
			return f.cut()
		}
		step = math.Min(most, 2*step)
	}
	return cut{}, false
}

// grow solves for a larger radius by Newton's method: the curves' offsets at
// distance r, a(s) + r·n and b(t) + r·n, must meet. ok is false where that
// does not converge or runs off either curve.
func (f filletState) grow(r float64) (filletState, bool) {
	next, gap := f, math.Inf(1)
	next.r = r
	for range 30 {
		p, u := offset(f.a, next.s, f.side*r)
		q, v := offset(f.b, next.t, f.side*r)
		w, cross := q.Sub(p), u.Cross(v)
		if was := gap; w.Len() == 0 || w.Len() <= Tiny && w.Len() >= was/2 {
			return next, next.settled(f) // as near as the last bits allow
		}
		gap = w.Len()
		next.s += w.Cross(v) / cross
		next.t += w.Cross(u) / cross
		if !(next.s > -1 && next.t < 2) {
			break
		}
	}
	return f, false
}

// settled reports whether the arc touches within both curves, no nearer to the
// corner than a smaller one did and not on the far side of a curve's centre of
// curvature, give or take fitSlack along either curve. A parameter that little
// off an end becomes the end's.
// By tolerance in the parameters, converted from mm by the length of the hull. The
// last test is the sign of 1 − d·curvature on either curve: not above 0, the offset
// curve has a cusp there or runs backward, and the arc is no fillet.
func (f *filletState) settled(before filletState) bool {
	slackA, slackB := fitSlack/f.a.hullLength(), fitSlack/f.b.hullLength()
	if f.s < -slackA || f.t > 1+slackB || f.s > before.s+slackA || f.t < before.t-slackB {
		return false
	}
	f.s, f.t = clamp01(f.s), clamp01(f.t)
	_, u := offset(f.a, f.s, f.side*f.r)
	_, v := offset(f.b, f.t, f.side*f.r)
	return u.Dot(f.a.Tangent(f.s)) > 0 && v.Dot(f.b.Tangent(f.t)) > 0
}

// offset is the point d to the left of the curve at t, and its velocity by t:
// the curve's own, scaled by 1 − d·curvature.
// d in mm, negative to the right; the derivative in mm per unit of t. Where the
// curve's own derivative is 0 there is no normal and the result is NaN.
func offset(c Curve, t, d float64) (Point, Point) {
	d1, d2 := c.Derivatives(t)
	speed := d1.Len()
	n := d1.Left().Mul(1 / speed)
	curvature := d1.Cross(d2) / (speed * speed * speed)
	return c.At(t).Add(n.Mul(d)), d1.Mul(1 - float64(d*curvature))
}

// cut is the arc found, between the points where it touches.
func (f filletState) cut() (cut, bool) {
	p, q := f.a.At(f.s), f.b.At(f.t)
	u, v := f.a.Tangent(f.s), f.b.Tangent(f.t)
	centre := p.Add(u.Left().Mul(f.side*f.r)).Lerp(q.Add(v.Left().Mul(f.side*f.r)), 0.5)
	// Short of a half turn: there the family of arcs ends, u × v being 0.
	sweep := AngleBetween(u, v)
	arc := Curve{Kind: Arc, P: p, Q: q, C: centre, R: f.r, Sweep: sweep}
	return cut{f.s, f.t, arc}, true
}
