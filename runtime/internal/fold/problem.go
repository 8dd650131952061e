package fold

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// problem is what one pose asks of a mechanism: which folds are given, which are
// unknown, and the equations that tie the unknown ones together. Nothing in it
// changes once it is made.
type problem struct {
	*mechanism
	pose      *model.Pose
	closed    map[*model.Free]float64 // free folds found in the closed pose, radians
	flat      bool                    // every fold is given as 0
	unknowns  []unknown
	unknownOf []int         // by joint: its unknown, or −1
	given     []geom.Angle  // by joint: the given fold at the end of the motion
	rigid     []*constraint // loops without unknowns
	systems   []*system     // of loops and joins that share unknowns
	laid      []*constraint // joins that one fold of their own lays down, in order
	position  []int         // by unknown: its place in its system
}

// unknown is one free fold, shared by one or more joints.
type unknown struct {
	free   *model.Free
	joints []int
	loops  int // cycles it takes part in
	joins  int // joins it takes part in
	lays   int // joins of the panels that hang by it
}

// newProblem reads a pose: a free hinge that it names becomes given, for every
// hinge that shares the unknown.
func newProblem(ctx context.Context, m *mechanism, pose *model.Pose, closed map[*model.Free]float64) *problem {
	p := &problem{
		mechanism: m, pose: pose, closed: closed,
		unknownOf: make([]int, len(m.joints)), given: make([]geom.Angle, len(m.joints)),
	}
	// A free fold that the pose names at one hinge is given at all that share it.
	pinned := map[*model.Free]geom.Angle{}
	for i := range m.joints {
		h := m.joints[i].hinge
		if deg, ok := pose.FoldDegrees[h]; ok && h.Fold.Free != nil {
			pinned[h.Fold.Free] = geom.Degrees(deg).Angle()
		}
	}
	p.flat = pose.At == 0 && allZero(pose)
	byFree := map[*model.Free]int{}
	for i := range m.joints {
		p.unknownOf[i] = -1
		p.readFold(i, pinned, byFree)
	}
	p.position = make([]int, len(p.unknowns))
	if !p.flat {
		p.collect(ctx)
	}
	return p
}

// allZero reports whether a pose's own folds are all exactly 0, as given.
func allZero(p *model.Pose) bool {
	for _, deg := range p.FoldDegrees {
		if deg != 0 {
			return false
		}
	}
	return true
}

// readFold sorts one joint into given or unknown. A pose's own folds are absolute;
// those of the design are scaled by the pose's "at". Joints that share a free fold
// share one unknown. When everything lies flat there is nothing to find.
func (p *problem) readFold(i int, pinned map[*model.Free]geom.Angle, byFree map[*model.Free]int) {
	h := p.joints[i].hinge
	free := h.Fold.Free
	if deg, ok := p.pose.FoldDegrees[h]; ok {
		p.given[i] = geom.Degrees(deg).Angle()
		return
	}
	if free == nil {
		p.given[i] = geom.Degrees(h.Fold.Degrees).Angle().Mul(p.pose.At)
		return
	}
	if angle, ok := pinned[free]; ok {
		p.given[i] = angle
		return
	}
	if p.flat {
		return
	}
	u, ok := byFree[free]
	if !ok {
		u = len(p.unknowns)
		byFree[free] = u
		p.unknowns = append(p.unknowns, unknown{free: free})
	}
	p.unknownOf[i] = u
	p.unknowns[u].joints = append(p.unknowns[u].joints, i)
}

// collect makes a constraint of every cycle and of every join that holds in this
// pose, and splits them into independent systems.
func (p *problem) collect(ctx context.Context) {
	var loops []*constraint
	for _, cycle := range p.cycles {
		c := p.loopConstraint(cycle)
		if len(c.unknowns) == 0 {
			p.rigid = append(p.rigid, c)
			continue
		}
		for _, u := range c.unknowns {
			p.unknowns[u].loops++
		}
		loops = append(loops, c)
	}
	// Loops are counted before joins are sorted: a fold that loops decide cannot
	// be a join's own.
	laid, joins := p.sortJoins(p.heldJoins(ctx))
	p.laid, p.systems = laid, p.split(loops, joins)
}

// heldJoins makes constraints of the joins that hold in this pose and that
// unknown folds can move.
// A breadth-first search a join: time grows as joins times joints at worst.
func (p *problem) heldJoins(ctx context.Context) []*constraint {
	// Chains of joins go the short way, over closing hinges too.
	s := newSearch(p.mechanism)
	for i := range s.open {
		s.open[i] = p.usable(i)
	}
	var out []*constraint
	for _, j := range p.piece.Joins {
		if ctx.Err() != nil {
			break
		}
		if !p.holds(j) {
			continue
		}
		c := p.joinConstraint(s, j)
		if c == nil || len(c.unknowns) == 0 {
			continue
		}
		for _, u := range c.unknowns {
			p.unknowns[u].joins++
		}
		if u := p.hangsBy(j.A.Panel); u >= 0 {
			p.unknowns[u].lays++
		}
		out = append(out, c)
	}
	return out
}

// holds reports whether a join must hold in this pose: meets and tucks do so in
// the closed one, glue in every one that is glued.
func (p *problem) holds(j *model.Join) bool {
	switch j.Kind {
	case model.MeetJoin, model.TuckJoin:
		return p.pose.Name == model.PoseClosed
	}
	return p.pose.Glued
}

// hangsBy is the unknown fold that a panel hangs by, or −1.
func (p *problem) hangsBy(panel *model.Panel) int {
	if i := p.hangs[p.index[panel]]; i >= 0 {
		return p.unknownOf[i]
	}
	return -1
}
