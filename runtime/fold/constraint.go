package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// constraint is a demand on the far end of a chain: points of its last panel
// that, seen from its first, must lie where targets say. Residuals are
// distances divided by the size of the thing, so that big and small loops weigh
// alike in the solver.
type constraint struct {
	chain  chain
	points []target
	size   float64
	hinge  *model.Hinge // the closing hinge, for loops
	join   *model.Join  // the join, for the rest
}

// target is one point of a chain's last panel and the directions, in the first
// panel's frame, along which it may not stray from a place.
type target struct {
	point geom.Point3
	place geom.Point3
	along []geom.Point3
}

var axes3 = []geom.Point3{{X: 1}, {Y: 1}, {Z: 1}}

// loop demands that a cycle come home: the closing hinge's two ends and a point
// beside it return to where they started.
func (s *state) loop(c chain) constraint {
	j := &s.joints[c.links[0].joint]
	end := j.at.Add(j.axis.Mul(j.length))
	side := j.axis.Cross(geom.Point3{Z: 1}).Mul(j.length).Add(j.at)
	out := constraint{chain: c, size: j.length, hinge: j.hinge}
	for _, p := range []geom.Point3{j.at, end, side} {
		out.points = append(out.points, target{p, p, axes3})
	}
	return out
}

// joinConstraint turns a join into demands on position, or ok = false when it
// makes none that a fold can meet (or its panels are out of reach).
func (s *state) joinConstraint(j *model.Join) (out constraint, ok bool) {
	a, b := s.index[j.A.Panel], s.index[j.B.Panel]
	c, ok := s.path(b, a)
	if !ok || len(c.links) == 0 {
		return out, false
	}
	out = constraint{chain: c, join: j, size: 1}
	switch j.Kind {
	case model.MeetJoin:
		return s.meetConstraint(j, out)
	case model.TuckJoin:
		if j.B.Window != nil {
			return out, false
		}
	}
	box := j.A.Panel.Outline.Bounds()
	out.size = math.Max(box.Width(), box.Height())
	z := []geom.Point3{{Z: 1}}
	for _, p := range []geom.Point{box.Min, geom.Pt(box.Max.X, box.Min.Y), box.Max} {
		out.points = append(out.points, target{p.Space(), geom.Point3{}, z})
	}
	if j.Kind == model.TabJoin && j.B.Edge != nil && j.A.Panel.Hang != nil {
		h := j.A.Panel.Hang
		base := h.By.Curve()
		out.points = append(out.points, toLine(base, j.B.Edge.Curve())...)
	}
	return out, true
}

// meetConstraint asks that the shorter edge's ends lie on the other edge's line.
func (s *state) meetConstraint(j *model.Join, out constraint) (constraint, bool) {
	a, b := j.A.Edge.Stretch(), j.B.Edge.Stretch()
	if a.Kind != geom.Line || b.Kind != geom.Line {
		return out, false
	}
	if a.Length() > b.Length()+geom.Weld {
		a, b = b, a
		c, ok := s.path(out.chain.to, out.chain.from)
		if !ok {
			return out, false
		}
		out.chain = c
	}
	out.size = a.Length()
	out.points = toLine(a, b)
	return out, true
}

// toLine asks that both ends of a lie on the straight line through b.
func toLine(a, b geom.Curve) []target {
	if b.Kind != geom.Line {
		return nil
	}
	across := []geom.Point3{b.Tangent(0).Left().Space(), {Z: 1}}
	return []target{
		{a.P.Space(), b.P.Space(), across},
		{a.Q.Space(), b.P.Space(), across},
	}
}

// residual appends the constraint's residuals to r.
func (s *state) residual(c *constraint, r []float64) []float64 {
	m := s.carry(c.chain)
	for _, t := range c.points {
		off := m.Apply(t.point).Sub(t.place)
		for _, d := range t.along {
			r = append(r, off.Dot(d)/c.size)
		}
	}
	return r
}

// gap is the largest distance, in mm, by which the constraint is missed.
func (s *state) gap(c *constraint) float64 {
	m := s.carry(c.chain)
	worst := 0.0
	for _, t := range c.points {
		off := m.Apply(t.point).Sub(t.place)
		sum := 0.0
		for _, d := range t.along {
			sum += off.Dot(d) * off.Dot(d)
		}
		worst = math.Max(worst, math.Sqrt(sum))
	}
	return worst
}

// row is one line of the Jacobian: the change of one residual with each
// variable, per radian.
type row struct {
	residual float64
	vars     []int
	slope    []float64
}

// rows linearises the constraint: a point q on the far side of an axis u
// through p moves by u × (q − p) as the fold grows.
func (s *state) rows(c *constraint, out []row) []row {
	screws, m := s.screws(c.chain)
	for _, t := range c.points {
		q := m.Apply(t.point)
		off := q.Sub(t.place)
		moves := make([]geom.Point3, len(screws))
		for k, w := range screws {
			moves[k] = w.axis.Cross(q.Sub(w.at))
		}
		for _, d := range t.along {
			r := row{residual: off.Dot(d) / c.size}
			for k, w := range screws {
				r.add(w.variable, moves[k].Dot(d)/c.size)
			}
			out = append(out, r)
		}
	}
	return out
}

// add books a slope, joining hinges that share one unknown.
func (r *row) add(v int, slope float64) {
	for i, w := range r.vars {
		if w == v {
			r.slope[i] += slope
			return
		}
	}
	r.vars = append(r.vars, v)
	r.slope = append(r.slope, slope)
}
