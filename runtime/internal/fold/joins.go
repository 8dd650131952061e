package fold

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// reachedTo is when a join counts as held by the solver, in mm.
const reachedTo = 1e-7

// reachJoins turns the system's folds so that its joins hold, loops kept closed,
// and returns how many motions are left free. Starts are where the loops left
// the folds, then even folds of growing size on the asked sides; the smallest
// folds that reach win. Joins that no fold reaches come as near as they can, and
// the loops are closed again last.
func (s *configuration) reachJoins(g *system, loose int) int {
	// A later start has to be better by more than rounding to win.
	all := g.all()
	here := s.values(g)
	best, bestGap := here, math.Inf(1)
	for try := -1; try < len(joinStarts) && !s.stopped(); try++ {
		for i, u := range g.unknowns {
			s.value[u] = s.joinStart(u, try, here[i])
		}
		gap := s.minimize(g, all, byAngle)
		if !s.strays(g) && gap < bestGap*(1-1e-3) {
			best, bestGap = s.values(g), gap
		}
		if bestGap < reachedTo {
			break
		}
	}
	s.restore(g, best)
	// From here on the joins hold or are given up; loops must close either way.
	held := bestGap < reachedTo
	if held {
		s.chooseTabSides(g)
	}
	if len(g.loops) == 0 {
		if !held {
			return 0 // the joins tell what is wrong
		}
		return s.nullityBeside(g)
	}
	if !held {
		s.minimize(g, g.loops, byAngle)
	}
	return min(loose, s.nullity(g, all, nullityCap))
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
func (s *configuration) nullityBeside(g *system) int {
	here := s.values(g)
	defer s.restore(g, here)
	for i, u := range g.unknowns {
		s.value[u] += 0.01 + 0.003*float64(i%3)
	}
	return s.nullity(g, g.joins, nullityCap)
}

// joinStarts are the first guesses for folds that joins alone decide, in radians.
var joinStarts = []float64{math.Pi / 6, math.Pi / 3, math.Pi / 2, 2 * math.Pi / 3, 5 * math.Pi / 6, math.Pi / 12}

// joinStart is the first guess of an unknown in a try, in radians: what near asks
// for first, else where the loops left it (a little off flat, where joins have no
// slope), then even folds.
func (s *configuration) joinStart(u, try int, here float64) float64 {
	near := s.unknowns[u].free.NearDegrees
	switch {
	case near != nil && try <= 0:
		return geom.Degrees(*near).Radians()
	case try < 0 && here != 0:
		return here
	case try < 0:
		return s.side(u) * startTurn
	}
	return s.side(u) * joinStarts[try]
}

// sortJoins parts joins into those that one fold of their own lays down and the
// rest: a panel laid on another, a tab, while all else on the way between them is
// decided without its fold. They come in an order in which each can be turned when
// those before it are. Where some wait for one another, or for an unknown that
// only they can decide, the first is no such join.
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

// onSide chooses between two turns half a turn apart: the one on the asked side
// and, where both are (0 and 180), the one that brings the panel to its target.
func (s *configuration) onSide(c *constraint, u int, turn float64) float64 {
	// Lying flat, the panel's middle is nearest to the target's on the right side;
	// the first of equals within the snap tolerance wins.
	best, bestFar := 0.0, math.Inf(1)
	for _, k := range []float64{0, math.Pi, -math.Pi} {
		a := turn + k
		if q := quarterTurn(a); math.Abs(a-q) < quarterRounding {
			a = q
		}
		if a*s.side(u) < -wrongWay || math.Abs(a) > math.Pi+wrongWay {
			continue
		}
		s.value[u] = a
		if far := s.farFrom(c); far < bestFar-geom.SnapTolerance {
			best, bestFar = a, far
		}
	}
	return best
}

// farFrom is how far the middle of a join's panel lies from its target's, in mm.
func (s *configuration) farFrom(c *constraint) float64 {
	panel, target := c.join.A.Panel, c.join.B.Panel
	m := s.product(c.chain)
	return m.Apply(panel.Outline.Bounds().Mid().Space()).Dist(target.Outline.Bounds().Mid().Space())
}
