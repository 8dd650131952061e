package region

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// mitreLimit is how far a corner may reach when it is kept sharp, in
	// multiples of the offset: corners down to about 1° stay sharp. What is
	// sharper gets an arc about the old corner instead.
	mitreLimit = 100

	// coarse is the offset in millimetres from which one is large against
	// geom.SnapTolerance; smaller ones are worked out on an enlarged outline.
	coarse = 100 * geom.SnapTolerance

	// smoothGap is the largest gap in millimetres between two offset curves
	// that is closed by moving their ends instead of by a corner.
	smoothGap = 10 * geom.SnapTolerance
)

// Grow moves an outline's edges outward by d mm, inward when d is negative; less
// than geom.SnapTolerance changes nothing.
// Lines shift and arcs change their radius; cubics are fitted anew with cubics,
// within growError of the true offset, which is the only approximation.
//
// Sharp corners stay sharp: where the edges part, the neighbours are extended,
// lines along themselves and arcs, up to a quarter turn further, along their
// circles, until they meet. Where they do not meet, or only twice as far out as
// their tangents, and at cubics, lines along the end tangents make the corner;
// a corner sharper than mitreLimit allows gets an arc. New edges at corners are named by their neighbours, like
// right-top. Elsewhere edges are cut where they cross, and edges for which
// there is no room vanish.
//
// Edges keep their names as for Plus. A result that is not one outline without
// holes is a *ShapeError.
func Grow(p geom.Path, d float64) (geom.Path, error) {
	if err := outlineInput(p); err != nil {
		return geom.Path{}, err
	}
	if math.IsNaN(d) || math.Abs(d) > geom.MaxSize {
		return geom.Path{}, fmt.Errorf("an outline cannot grow by %v mm", d)
	}
	if math.Abs(d) < geom.SnapTolerance {
		return p, nil
	}
	if _, e := math.Frexp(coarse / math.Abs(d)); e > 0 {
		return growScaled(p, d, math.Ldexp(1, e))
	}
	return grow(tight(p), d)
}

// growScaled grows an outline k times as large, k a power of two, so that an
// offset near geom.SnapTolerance becomes a large one; scaling by it rounds nothing.
func growScaled(p geom.Path, d, k float64) (geom.Path, error) {
	q, err := grow(scale(tight(p), k), d*k)
	if shape := (*ShapeError)(nil); errors.As(err, &shape) {
		return q, shape.scale(1 / (k * k))
	}
	return scale(q, 1/k), err
}

// scale multiplies all lengths of a path by k; angles and names stay.
func scale(p geom.Path, k float64) geom.Path {
	edges := make([]geom.Edge, len(p.Edges))
	for i, e := range p.Edges {
		e.P, e.Q, e.C, e.D, e.R = e.P.Mul(k), e.Q.Mul(k), e.C.Mul(k), e.D.Mul(k), e.R*k
		edges[i] = e
	}
	return geom.Path{Edges: edges, Closed: p.Closed}
}

// tight makes every edge start exactly where the one before ends. Where they miss
// each other, the edge gives way, or the one before if moving this one would
// turn it; see nearlyFull.
func tight(p geom.Path) geom.Path {
	edges := slices.Clone(p.Edges)
	for i := range edges {
		before, e := &edges[(i+len(edges)-1)%len(edges)], &edges[i]
		if nearlyFull(e.Curve) {
			before.Curve = refit(before.Curve, before.P, e.P)
		}
		e.Curve = refit(e.Curve, before.Q, e.Q)
	}
	return geom.Path{Edges: edges, Closed: true}
}

// grow is Grow for an offset large against geom.SnapTolerance: it arranges the
// chain of offsets and keeps what that winds round a positive number of times.
func grow(p geom.Path, d float64) (geom.Path, error) {
	o := rawOffset(p, d, sharpCorners)
	return o.outline(o.covered())
}

// rawOffset chains the shifted edges. The chain may cross itself: each edge
// sweeps the strip from itself to its shifted copy, so the chain winds once
// round the outline's inside, once more for each strip that lies outside it and
// once less for each inside; where the sum is positive is the grown outline.
// For that the chain returns to the old corner wherever two strips overlap, and
// no strip passes its edge's centre of curvature.
func rawOffset(p geom.Path, d float64, style cornerStyle) *outlined {
	var moved []*shifted
	for _, e := range p.Edges {
		for _, part := range splitAtCusps(e.Curve) {
			moved = append(moved, shift(geom.Edge{Name: e.Name, Curve: part}, d))
		}
	}
	corners := make([]link, len(moved))
	for i, s := range moved {
		corners[i] = corner{s, moved[(i+1)%len(moved)], d, style}.link()
	}
	o := &outlined{}
	for i, s := range moved {
		for _, c := range s.curves {
			o.add(c, naming{s.Name, 0})
		}
		name := s.Name + "-" + moved[(i+1)%len(moved)].Name
		for _, c := range corners[i] {
			o.add(c, naming{name, 1})
		}
	}
	return o
}

func (o *outlined) add(c geom.Curve, n naming) {
	if c.P != c.Q || c.Kind == geom.Arc {
		o.curves = append(o.curves, c)
		o.names = append(o.names, n)
	}
}

// shifted is an edge and its offset curves, end to end. An offset that shrank
// to its centre has none and stays at the point start == end.
type shifted struct {
	geom.Edge
	curves     []geom.Curve
	start, end geom.Point
	// Whether start and end lie the full offset away from the edge's ends; not
	// so where the centre of curvature is nearer.
	fullStart, fullEnd bool
}

// shift offsets one edge to its right by d mm. An arc that turns left has its
// centre on its left and grows by d, one that turns right shrinks; one that would
// shrink to a radius of geom.SnapTolerance or less has no offset.
func shift(e geom.Edge, d float64) *shifted {
	switch e.Kind {
	case geom.Arc:
		r := e.R + math.Copysign(d, d*e.Sweep.Radians())
		if r <= geom.SnapTolerance {
			return &shifted{Edge: e, start: e.C, end: e.C}
		}
		c := e.Curve
		c.P = c.C.Add(c.P.Sub(c.C).Mul(r / c.R))
		c.Q = c.C.Add(c.Q.Sub(c.C).Mul(r / c.R))
		c.R = r
		return whole(e, c)
	case geom.Cubic:
		return shiftCubic(e, d)
	}
	by := rightOf(e.Curve, 0).Mul(d)
	return whole(e, geom.LineFrom(e.P.Add(by), e.Q.Add(by)))
}

// whole is an edge whose offset is one curve, the full offset away all along.
func whole(e geom.Edge, c geom.Curve) *shifted {
	return &shifted{Edge: e, curves: []geom.Curve{c}, start: c.P, end: c.Q, fullStart: true, fullEnd: true}
}

// rightOf is the unit normal to the right of travel, the outside of an outline.
func rightOf(c geom.Curve, t float64) geom.Point { return c.Tangent(t).Left().Mul(-1) }

// endAt and startAt move the ends of the offset.
func (s *shifted) endAt(q geom.Point) {
	last := &s.curves[len(s.curves)-1]
	*last = refit(*last, last.P, q)
	s.end = q
}

func (s *shifted) startAt(p geom.Point) {
	s.curves[0] = refit(s.curves[0], p, s.curves[0].Q)
	s.start = p
}
