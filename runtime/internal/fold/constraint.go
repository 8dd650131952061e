package fold

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// constraint is a demand on the far end of a chain: points of its last panel
// that, seen from its first, must lie where targets say. Residuals are distances
// divided by the size of the thing, so that big and small loops weigh alike in
// the solver.
//
// It has one row for each direction of each target: nine for a loop, of which six
// are independent, three for a panel in a plane, four for an edge on a line
// and seven for a tab that has to do both.
type constraint struct {
	chain    chain
	unknowns []int // of the chain, each once
	points   []target
	size     float64      // mm
	hinge    *model.Hinge // the closing hinge, for loops
	join     *model.Join  // the join, for the rest
	mate     *geom.Curve  // the straight edge on whose line the last two points lie, or nil
	pull     []target     // points that draw the two edges together end to end, or nil
}

// target is one point of a chain's last panel and the directions, in the first
// panel's frame, along which it may not stray from a place.
// Lengths are in mm. The directions are unit vectors at right angles, so that the
// squares of what is missed along them add up to that of a distance.
type target struct {
	point geom.Point3
	place geom.Point3
	along []geom.Point3
}

// axes3 are the directions of a target that fixes a point altogether.
var axes3 = []geom.Point3{{X: 1}, {Y: 1}, {Z: 1}}

// loopConstraint demands that a cycle close: the closing hinge's two ends and a
// point beside it return to where they started.
// The third point is beside the hinge's start, at a right angle to it in the panel's
// plane; points and places are both in the frame of the parent, panel a.
func (p *problem) loopConstraint(c chain) *constraint {
	// Three points that are not in line fix a frame; they lie one hinge's length
	// apart, so the residuals of all loops are turns and shares of the hinge.
	j := &p.joints[c.links[0].joint]
	end := j.at.Add(j.axis.Mul(j.length))
	side := j.axis.Cross(geom.Point3{Z: 1}).Mul(j.length).Add(j.at)
	out := &constraint{chain: c, unknowns: p.unknownsOf(c), size: j.length, hinge: j.hinge}
	for _, q := range []geom.Point3{j.at, end, side} {
		out.points = append(out.points, target{q, q, axes3})
	}
	return out
}

// unknownsOf lists the unknowns of a chain, each once, in order.
func (p *problem) unknownsOf(c chain) []int {
	var out []int
	for _, k := range c.links {
		if u := p.unknownOf[k.joint]; u >= 0 {
			out = append(out, u)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// joinConstraint turns a join into demands on position, or nil when it makes
// none that a fold can meet or its panels are out of reach.
//
// The chain leads from the panel in whose frame the places are, B's, to the one in
// whose frame the points are, A's; of a meet whose edge A is the longer it leads
// the other way.
func (p *problem) joinConstraint(s *search, j *model.Join) *constraint {
	c, ok := s.path(p.index[j.B.Panel], p.index[j.A.Panel])
	if !ok || len(c.links) == 0 {
		return nil
	}
	out := &constraint{chain: c, join: j}
	switch {
	case j.Kind == model.MeetJoin:
		a, b := j.A.Edge.Stretch(), j.B.Edge.Stretch()
		if a.Kind != geom.Line || b.Kind != geom.Line {
			return nil
		}
		// The shorter edge's ends lie on the other edge's line.
		if a.Length() > b.Length()+geom.SnapTolerance {
			a, b = b, a
			out.chain, _ = s.path(c.to, c.from)
		}
		out.size, out.points = a.Length(), toLine(a, b)
		out.mate, out.pull = &b, toEnds(a, b)
	case j.Kind == model.TuckJoin && j.B.IsThrough():
		return nil
	default:
		// Where in the plane it lies is for the hinges' own geometry to see to; a
		// tab to an edge has its hinge on the edge's line besides.
		out.size, out.points = lieFlat(j.A.Panel)
		if hang := j.A.Panel.Hang; j.Kind == model.TabJoin && j.B.Edge != nil && hang != nil {
			a, b := hang.By.Curve(), j.B.Edge.Curve()
			if line := toLine(a, b); line != nil {
				// The tab's edge is its parent's turned round.
				out.pull = append(slices.Clone(out.points), toEnds(a.Reverse(), b)...)
				out.points = append(out.points, line...)
				out.mate = &b
			}
		}
	}
	out.unknowns = p.unknownsOf(out.chain)
	return out
}

// lieFlat asks that a panel lie in its target's plane: three corners of its
// bounding box, in its own frame, have z = 0 in the target's.
// Three rows, for the height and two tilts; either face of the panel may be up. size
// is the longer side of the box in mm.
func lieFlat(p *model.Panel) (size float64, points []target) {
	box := p.Outline.Bounds()
	z := []geom.Point3{{Z: 1}}
	for _, q := range []geom.Point{box.Min, geom.Pt(box.Max.X, box.Min.Y), box.Max} {
		points = append(points, target{q.Space(), geom.Point3{}, z})
	}
	return math.Max(box.Width(), box.Height()), points
}

// toLine asks that both ends of a lie on the straight line through b: nothing off
// it in b's plane and nothing out of that. Along b they may lie anywhere. It asks
// nothing where b is curved.
// Four rows: what stays free is to slide along the line and to turn about it.
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

// toEnds draws edge a to the straight edge b as two boards of one outside meet
// along a seam: the middle on the middle, the ends in opposite order.
// Six rows of rank five: a turn about the edge itself moves neither end.
func toEnds(a, b geom.Curve) []target {
	mid, half := b.At(0.5), b.Tangent(0).Mul(a.Length()/2)
	return []target{
		{a.P.Space(), mid.Add(half).Space(), axes3},
		{a.Q.Space(), mid.Sub(half).Space(), axes3},
	}
}

// cost is ½|r|² over the residuals r of some constraints, without dimension.
// It is in agreement with normalEquations.cost, without the cost of the Jacobian.
func (s *configuration) cost(cons []*constraint) float64 {
	sum := 0.0
	for _, c := range cons {
		m := s.product(c.chain)
		for _, t := range c.points {
			off := m.Apply(t.point).Sub(t.place)
			for _, d := range t.along {
				r := off.Dot(d) / c.size
				sum += r * r / 2
			}
		}
	}
	return sum
}

// worst is the largest gap among some constraints, in mm.
// Without constraints it is 0.
func (s *configuration) worst(cons []*constraint) float64 {
	w := 0.0
	for _, c := range cons {
		w = math.Max(w, s.gap(c))
	}
	return w
}

// widest is the constraint with the largest gap, the first of those that are equal
// within closedTo.
func (s *configuration) widest(cons []*constraint) *constraint {
	best, most := cons[0], -1.0
	for _, c := range cons {
		if gap := s.gap(c); gap > most+closedTo {
			best, most = c, gap
		}
	}
	return best
}

// gap is the largest distance, in mm, by which the constraint is missed.
func (s *configuration) gap(c *constraint) float64 { return s.farthest(c, c.points) }

// hingeGap is how far the two edges of a loop's closing hinge lie apart at their
// ends, in mm: what a rule laid across would show. Where they coincide and only
// turn the wrong way, it is the gap beside them.
func (s *configuration) hingeGap(c *constraint) float64 {
	if ends := s.farthest(c, c.points[:2]); exceeds(ends, OpenLimit) {
		return ends
	}
	return s.gap(c)
}

// farthest is the largest distance of some of a constraint's points from their
// targets, in mm.
// Only the directions that a target asks for count.
func (s *configuration) farthest(c *constraint, points []target) float64 {
	m := s.product(c.chain)
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

// exceeds compares a gap with a limit, both in mm, as a reader of the report
// would: rounded to 1e-9 mm, so that the last bits, which differ between
// processors, decide nothing.
// By tolerance, of closedTo; NaN exceeds every limit.
func exceeds(gap, limit float64) bool {
	return !(math.Round(gap/closedTo) <= math.Round(limit/closedTo))
}

// linearization is a constraint to first order: its residuals, the unknowns it
// depends on, and its rows of the Jacobian, per radian, one after another.
// With m residuals and n unknowns the Jacobian has m·n entries, row by row; column
// holds, for each screw, which of the n its unknown is.
type linearization struct {
	residual []float64
	unknowns []int
	jacobian []float64
	screws   []screw
	column   []int
}

// linearize fills a, whose space is used again: a point q on the far side of an
// axis u through p moves by u × (q − p) as the fold grows.
// Time grows as residuals times screws. Exact derivatives but for rounding, by the
// angles themselves; scale changes them to other coordinates.
func (s *configuration) linearize(c *constraint, a *linearization) {
	screws, m := s.screws(c.chain, a.screws[:0])
	a.screws, a.column = screws, a.column[:0]
	a.residual, a.unknowns, a.jacobian = a.residual[:0], a.unknowns[:0], a.jacobian[:0]
	// Columns come in the order in which the chain meets the unknowns.
	for _, w := range screws { // hinges that share one unknown share its column
		at := slices.Index(a.unknowns, w.unknown)
		if at < 0 {
			at = len(a.unknowns)
			a.unknowns = append(a.unknowns, w.unknown)
		}
		a.column = append(a.column, at)
	}
	for _, t := range c.points {
		q := m.Apply(t.point)
		off := q.Sub(t.place)
		for _, d := range t.along {
			a.residual = append(a.residual, off.Dot(d)/c.size)
			row := len(a.jacobian)
			for range a.unknowns {
				a.jacobian = append(a.jacobian, 0)
			}
			for k, w := range screws {
				a.jacobian[row+a.column[k]] += w.axis.Cross(q.Sub(w.at)).Dot(d) / c.size
			}
		}
	}
}
