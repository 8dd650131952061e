package fold

import (
	"context"
	"fmt"
	"slices"
)

// Motion is the way of a piece from flat to one of its poses: all given folds
// grow together, in proportion, and loops stay closed. It is not changed once it
// is made and may be used by several goroutines.
type Motion struct {
	pose      *Pose
	end       *configuration // at the pose
	solutions []solution     // by system
}

// Motion is the way from flat to the pose.
func (p *Pose) Motion() *Motion { return p.motion }

// At gives the piece when the given folds have reached a share t, 0 to 1, of
// their values: flat at 0, the pose itself at 1. It depends on t alone, not on
// what was asked before.
//
// Free folds that loops decide follow the closed form or the continuation by
// which the pose was found, restarted from the nearest checkpoint before t. Joins
// hold in poses, not on the way: folds that only joins decide grow in proportion
// to the pose's, and the loops they share are closed by the solver from there.
// Loops that only close at the end are reported as they are for any pose. The
// error is the cause of the context's end, or that t is out of range.
func (m *Motion) At(ctx context.Context, t float64) (*Pose, error) {
	if !(t >= 0 && t <= 1) {
		return nil, fmt.Errorf("a motion runs from 0 to 1, not to %v", t)
	}
	if t == 1 || m.end.flat {
		return m.pose, context.Cause(ctx)
	}
	// The problem is shared but for its being flat at 0; values are this call's.
	// Folds that no loop decides stand at their share of the end's.
	p := *m.end.problem
	p.flat = t == 0
	s := newConfiguration(ctx, &p)
	copy(s.found, m.end.found)
	for u := range s.value {
		s.value[u] = m.end.value[u] * t
	}
	var faults []Fault
	for k, g := range s.systems {
		if s.stopped() {
			return nil, context.Cause(ctx)
		}
		f := m.solutions[k].fault
		if f == nil && t > 0 {
			f = s.onTheWay(g, &m.solutions[k], t)
		}
		if f != nil {
			faults = append(faults, *f)
		}
		for _, u := range g.unknowns {
			s.found[u] = f == nil || t == 0
		}
	}
	s.progress = t
	out := s.result(append(faults, s.openLoops(false)...))
	out.motion = m
	return out, context.Cause(ctx)
}

// onTheWay finds a system's folds at progress t, or says why there are none. They
// stand at that share of the end's.
func (s *configuration) onTheWay(g *system, how *solution, t float64) *Fault {
	// A closed form holds at any progress; a path is taken up at a checkpoint; else
	// the loops, if any, are closed from where the folds stand.
	switch {
	case how.form != nil:
		s.progress = t
		s.applyProportions(g, how.form)
		if gap := s.worst(g.loops); gap > closedTo {
			s.minimize(g, g.loops, byAngle)
		}
	case how.path != nil:
		s.restart(g, how.path, t)
	default:
		s.progress = t
		s.minimize(g, g.loops, byAngle)
	}
	// The same limits as in poses, save that a fold may still lie flat.
	if gap := s.worst(g.loops); s.progress < t || exceeds(gap, OpenLimit) || s.strays(g) {
		return s.fault(g, Fault{Kind: LoopUnsolved, Gap: gap})
	}
	return nil
}

// restart follows a path to progress t, from the last checkpoint before it. The
// path is cut off there and not written to, so that several goroutines may
// follow it at once.
func (s *configuration) restart(g *system, path []checkpoint, t float64) {
	// The first checkpoint beyond t; those before it are continued.
	next, _ := slices.BinarySearchFunc(path, t, func(c checkpoint, t float64) int {
		if c.progress <= t {
			return -1
		}
		return 1
	})
	if next > 1 {
		s.track(g, path[:next:next], t, func() {})
	} else {
		// Before the first checkpoint the folds stand in their limiting ratios.
		s.progress = t
		for i, u := range g.unknowns {
			s.value[u] = path[1].values[i] * t / path[1].progress
		}
		s.minimize(g, g.loops, byLogarithm)
	}
	s.minimize(g, g.loops, byAngle)
}
