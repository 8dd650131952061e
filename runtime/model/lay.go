package model

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// laid is how a child's edge comes to lie along its parent's: the stretches
// that overlap, in mm from the left end of either edge as seen from its own
// board, the child's motion and the joined stretch in the parent's frame.
type laid struct {
	from, to     float64 // on the parent's edge
	byFrom, byTo float64 // on the child's edge
	motion       geom.Isometry
	curve        geom.Curve
}

// layAlong lays the child's edge against the stretch its parent offers: they
// run opposite ways, mid-point on mid-point, then the child moves slide mm to
// the right. The two must be of one shape where they overlap.
func (c *call) layAlong(h *Hinge) laid {
	on, by := h.On.Curve(), h.By.Curve()
	length, start := h.By.To, (h.On.From+h.On.To)/2+h.Slide-h.By.To/2
	from, to := math.Max(h.On.From, start), math.Min(h.On.To, start+length)
	if to-from < geom.MinSize {
		c.failf("edge %q (%s mm) slid %s mm misses the hinge edge %s (%s mm)", h.By.Name,
			geom.Num(length), geom.Num(h.Slide), h.On, geom.Num(h.On.Length()))
		return laid{}
	}
	// Seen from the parent the child's curve runs from left to right.
	theirs := stretch(on, from, to)
	ours := stretch(by, length-(to-start), length-(from-start)).Reverse()
	m := carryMid(ours, theirs)
	if gap := apart(ours.Transform(m), theirs); gap > geom.SnapTolerance {
		c.failf("edge %q is %s, the hinge edge %s is %s: laid together they are %s mm apart",
			h.By.Name, shape(by), h.On, shape(on), geom.Num(gap))
	}
	return laid{from, to, length - (to - start), length - (from - start), m, theirs}
}

// carryMid is the motion that takes the middle of a to the middle of b with
// the same direction of travel.
func carryMid(a, b geom.Curve) geom.Isometry {
	s, t := a.ParamAt(a.Length()/2), b.ParamAt(b.Length()/2)
	return geom.Align(a.At(s), a.Tangent(s), b.At(t), b.Tangent(t))
}

// apart is how far two curves that run the same way part, measured between
// points at the same share of their lengths. Lines and arcs part most at an
// end or in the middle; on cubics sixteen points tell, as two different cubics
// have no more than nine in common (Bézout).
func apart(a, b geom.Curve) float64 {
	n := 2
	if a.Kind == geom.Cubic || b.Kind == geom.Cubic {
		n = 16
	}
	la, lb, worst := a.Length(), b.Length(), 0.0
	for i := range n + 1 {
		f := float64(i) / float64(n)
		worst = math.Max(worst, a.At(a.ParamAt(la*f)).Dist(b.At(b.ParamAt(lb*f))))
	}
	return worst
}

// shape describes an edge's curve, directed with board on its left.
func shape(c geom.Curve) string {
	switch {
	case c.Kind == geom.Line:
		return "a straight line"
	case c.Kind == geom.Cubic:
		return "a curve"
	case c.Sweep.Radians() > 0:
		return fmt.Sprintf("an arc of radius %s mm bulging out", geom.Num(c.R))
	}
	return fmt.Sprintf("an arc of radius %s mm curving in", geom.Num(c.R))
}
