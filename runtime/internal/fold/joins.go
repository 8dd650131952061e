package fold

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// awayFromFlat are the shares of the way to a right angle by which folds are turned
// where a shape pressed flat may have one motion too many. Of 192 random towers 6 are
// counted wrong without, 2 with the first share alone, none with all of them.
var awayFromFlat = []float64{0.1, 0.05, 0.2}

// reachJoins turns the system's folds so that its joins hold, loops kept closed,
// and returns how many motions are left free. Joins that no fold reaches come as
// near as they can, and the loops are closed again last.
func (s *configuration) reachJoins(g *system, loose int) int {
	held := s.searchJoins(g)
	if len(g.loops) == 0 {
		if !held {
			return 0 // the joins tell what is wrong
		}
		return s.nullityBeside(g)
	}
	if !held {
		s.minimize(g, g.loops, byAngle)
	}
	loose = min(loose, s.nullity(g, g.all(), nullityCap))
	if held && loose > 1 {
		loose = s.nullityAway(g, loose)
	}
	return loose
}

// chooseTabSides lays each tab that has come to lie in its target's plane on the
// target's side of its hinge: in a tube pressed flat, either side satisfies all
// that a join demands of the folds.
func (s *configuration) chooseTabSides(g *system) {
	for _, c := range g.joins {
		if u := s.ownFold(c); u >= 0 {
			s.value[u] = s.onSide(c, u, s.value[u])
		}
	}
}

// nullityBeside counts the motions that joins alone leave free. It measures
// beside the solution, as joins may meet there at a turning point, where the
// first step of a motion that they do forbid goes unnoticed.
// The folds are moved by 0.010, 0.013 and 0.016 rad in turn: unequal, so that no
// symmetry of the solution is kept.
func (s *configuration) nullityBeside(g *system) int {
	here := s.values(g)
	defer s.restore(g, here)
	for i, u := range g.unknowns {
		s.value[u] += 0.01 + 0.003*float64(i%3)
	}
	return s.nullity(g, g.joins, nullityCap)
}

// nullityAway counts the motions that loops and joins leave free in shapes nearby
// and returns the least of these counts and of the given one, of 2 or more. A loose
// tube may have been found pressed flat: where the creases round a corner of it lie
// in one plane, one of the three equations of that corner goes, and a motion of the
// first order that the whole does not have is counted. So the folds are turned some
// way toward a right angle, and the solver closes the shape again from there.
// That cannot tell a loose shape from one that is not: the least count is 1. Shapes
// in which something gapes do not count.
func (s *configuration) nullityAway(g *system, count int) int {
	here := s.values(g)
	defer s.restore(g, here)
	for _, way := range awayFromFlat {
		for i, u := range g.unknowns {
			// Unequal shares keep no symmetry of the shape that was found.
			share := way * (1 + 0.3*float64(i%3))
			s.value[u] = here[i] + float64(share*(s.side(u)*math.Pi/2-here[i]))
		}
		if s.minimize(g, g.all(), byAngle) < surely {
			count = max(1, s.nullity(g, g.all(), count))
		}
	}
	return count
}

// sortJoins parts joins into those that one fold of their own lays down and the
// rest: a panel laid on another, a tab, while all else on the way between them is
// decided without its fold. They come in an order in which each can be turned when
// those before it are. Where some wait for one another, or for an unknown that
// only they can decide, the first is no such join.
// There are at most as many rounds as joins, so time grows as their square at worst.
func (p *problem) sortJoins(all []*constraint) (laid, joins []*constraint) {
	decided := make([]bool, len(p.unknowns))
	for u := range p.unknowns {
		decided[u] = p.unknowns[u].loops > 0
	}
	take := func(c *constraint) {
		joins = append(joins, c)
		for _, u := range c.unknowns {
			decided[u] = true
		}
	}
	// Each round takes what can be decided now; a round that takes nothing has come
	// to a ring of joins that wait for one another, which the solver has to cut.
	for rest := all; len(rest) > 0; {
		var waiting []*constraint
		for _, c := range rest {
			u := p.ownFold(c)
			switch {
			case u < 0 || decided[u]:
				take(c)
			case waits(c, u, decided):
				waiting = append(waiting, c)
			default:
				laid = append(laid, c)
				decided[u] = true
			}
		}
		if len(waiting) == len(rest) {
			take(waiting[0])
			waiting = waiting[1:]
		}
		rest = waiting
	}
	return laid, joins
}

// waits reports whether some unknown on the way, other than the join's own, is
// not decided yet.
// Exact: it only looks at which unknowns are marked.
func waits(c *constraint, own int, decided []bool) bool {
	for _, u := range c.unknowns {
		if u != own && !decided[u] {
			return true
		}
	}
	return false
}

// ownFold is the unknown that alone turns a join's panel onto its target: the
// fold of the hinge the panel hangs by, in no loop, shared with no other hinge
// and asked for by no other join. Else −1.
// Exact: it counts constraints. It holds only once collect has counted loops and
// joins of every unknown.
func (p *problem) ownFold(c *constraint) int {
	// Meets move edges, not panels, so no single turn satisfies them.
	u := p.hangsBy(c.join.A.Panel)
	if u < 0 || c.join.Kind == model.MeetJoin {
		return -1
	}
	if x := &p.unknowns[u]; x.loops > 0 || x.lays > 1 || len(x.joints) > 1 {
		return -1
	}
	return u
}

// layDown turns a join's panel so that it lies parallel to its target, on the
// asked side: the closed form is the angle between the two normals about the
// axis. Nothing is done when a fold on the way was not found, and told about.
// Where the target's normal lies along the axis no turn lays the panel parallel: both
// terms of the quotient are 0 then but for rounding, and the turn means nothing.
func (s *configuration) layDown(c *constraint) {
	own := s.ownFold(c)
	for _, u := range c.unknowns {
		if u != own && !s.found[u] {
			return
		}
	}
	s.value[own] = 0
	screws, m := s.screws(c.chain, nil)
	var axis geom.Point3
	for _, w := range screws {
		if w.unknown == own {
			axis = w.axis
		}
	}
	// With n the panel's normal at fold 0, z the target's and u the axis, the turn
	// by a about u that takes n to z, or next to it, has
	// tan a = u·(n × z) / (n·z − (u·n)(u·z)).
	normal, up := m.Normal(), geom.Point3{Z: 1}
	turn := geom.Pt(normal.Dot(up)-float64(axis.Dot(normal)*axis.Dot(up)), axis.Dot(normal.Cross(up))).Angle().Radians()
	s.value[own] = s.onSide(c, own, turn)
	s.found[own] = true
}

// onSide chooses between turns half a turn apart. A tab that was given no fold may
// turn to either side: the turn that leaves the least of it beside its target
// wins. Of equals that is one inward, or, right over onto the outside of a target
// that the panel it hangs on faces with its own outside, one outward: so it comes to
// lie between the two. Of turns to the same side (0 and 180) that wins
// which brings the panel's middle nearest to the target's.
//
// turn is in radians and the result within a half turn, by tolerance: wrongWay for
// the side and for the half turn. Where no turn is allowed the result is 0.
// It leaves in value[u] the last turn that it tried: the caller stores the result.
func (s *configuration) onSide(c *constraint, u int, turn float64) float64 {
	// Each measure decides where those before it are equal within the snap
	// tolerance; the first of equals wins.
	best, least := 0.0, [3]float64{math.Inf(1)}
	for _, k := range []float64{0, math.Pi, -math.Pi, 2 * math.Pi, -2 * math.Pi} {
		a := turn + k
		if q := quarterTurn(a); math.Abs(a-q) < quarterRounding {
			a = q
		}
		outward := a*s.side(u) < -wrongWay
		if outward && !s.unknowns[u].free.Either || math.Abs(a) > math.Pi+wrongWay {
			continue
		}
		unlike := 0.0
		if rightOver := math.Abs(a) > math.Pi-wrongWay; outward != (rightOver && c.join.Outside) {
			unlike = 1
		}
		s.value[u] = a
		rank := [3]float64{s.aside(c), unlike, s.farFrom(c)}
		if slices.CompareFunc(rank[:], least[:], compareRounded) < 0 {
			best, least = a, rank
		}
	}
	return best
}

// compareRounded compares two lengths, those within the snap tolerance as equal.
// That is not transitive: of a row of lengths, each close to the next, which one wins
// depends on their order, so callers compare in a fixed one.
func compareRounded(a, b float64) int {
	if math.Abs(a-b) <= geom.SnapTolerance {
		return 0
	}
	return cmp.Compare(a, b)
}

// farFrom is how far the middle of a join's panel lies from its target's, in mm.
// The middles are those of the bounding boxes; the distance is taken in space.
func (s *configuration) farFrom(c *constraint) float64 {
	panel, target := c.join.A.Panel, c.join.B.Panel
	m := s.product(c.chain)
	return m.Apply(panel.Outline.Bounds().Mid().Space()).Dist(target.Outline.Bounds().Mid().Space())
}

// aside is how far a join misses, in mm, by what its constraint does not ask: an
// edge may lie on its partner's line beyond the end of it, a panel in its target's
// plane beside it. Corners outside the target's outline count by their distance.
// Only the corners are looked at, not what lies between them. A corner next to the
// rim may be taken for either side of it, which changes the result by as little as its
// distance from the rim.
func (s *configuration) aside(c *constraint) float64 {
	m, worst := s.product(c.chain), 0.0
	if c.mate != nil {
		along := c.mate.Q.Sub(c.mate.P)
		length := along.Len()
		for _, t := range c.points[len(c.points)-2:] {
			at := m.Apply(t.point).Plane().Sub(c.mate.P).Dot(along) / length
			worst = math.Max(worst, math.Max(-at, at-length))
		}
		worst -= c.join.Gap
	}
	if c.join.Kind == model.MeetJoin {
		return math.Max(0, worst)
	}
	target := c.join.B.Panel.Outline
	for _, e := range c.join.A.Panel.Outline.Edges {
		q := m.Apply(e.P.Space()).Plane()
		if target.Contains(q) {
			continue
		}
		near := math.Inf(1)
		for _, f := range target.Edges {
			_, d := f.Nearest(q)
			near = math.Min(near, d)
		}
		worst = math.Max(worst, near)
	}
	return worst
}
