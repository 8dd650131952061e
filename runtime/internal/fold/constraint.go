package fold

import (
	"math"
	"slices"

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
	if a.Length() > b.Length()+geom.SnapTolerance {
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
func (s *state) gap(c *constraint) float64 { return s.farthest(c, c.points) }

// gape is how far the two edges of a loop's closing hinge lie apart at their
// ends, in mm: what a rule laid across would show. Where they coincide and only
// turn the wrong way, it is the gap beside them.
func (s *state) gape(c *constraint) float64 {
	if ends := s.farthest(c, c.points[:2]); ends > OpenLimit {
		return ends
	}
	return s.gap(c)
}

// farthest is the largest distance of some of a constraint's points from their
// targets, in mm.
func (s *state) farthest(c *constraint, points []target) float64 {
	m := s.carry(c.chain)
	worst := 0.0
	for _, t := range points {
		off := m.Apply(t.point).Sub(t.place)
		sum := 0.0
		for _, d := range t.along {
			sum += off.Dot(d) * off.Dot(d)
		}
		worst = math.Max(worst, math.Sqrt(sum))
	}
	return worst
}

// slopes is a constraint made linear: its residuals, the unknowns it depends on,
// and the change of each residual with each unknown, per radian, row by row.
type slopes struct {
	residual []float64
	vars     []int
	slope    []float64
}

// slopes linearises the constraint into a, whose space is used again: a point q
// on the far side of an axis u through p moves by u × (q − p) as the fold grows.
func (s *state) slopes(c *constraint, a *slopes) {
	screws, m := s.screws(c.chain)
	a.residual, a.vars, a.slope = a.residual[:0], a.vars[:0], a.slope[:0]
	column := make([]int, len(screws)) // hinges that share one unknown share one
	for k, w := range screws {
		if column[k] = slices.Index(a.vars, w.variable); column[k] < 0 {
			column[k] = len(a.vars)
			a.vars = append(a.vars, w.variable)
		}
	}
	for _, t := range c.points {
		q := m.Apply(t.point)
		off := q.Sub(t.place)
		for _, d := range t.along {
			a.residual = append(a.residual, off.Dot(d)/c.size)
			row := len(a.slope)
			for range a.vars {
				a.slope = append(a.slope, 0)
			}
			for k, w := range screws {
				a.slope[row+column[k]] += w.axis.Cross(q.Sub(w.at)).Dot(d) / c.size
			}
		}
	}
}
