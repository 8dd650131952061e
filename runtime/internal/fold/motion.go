package fold

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
)

// Motion is the way of a piece from flat to one of its poses: all given folds
// grow together, in proportion, and loops stay closed. It may be used by several
// goroutines.
type Motion struct {
	pose      *Pose
	end       *configuration // at the pose
	solutions []solution     // by system
	detours   []detour       // likewise; found when first asked for
}

// Motion is the way from flat to the pose.
func (p *Pose) Motion() *Motion { return p.motion }

// At gives the piece when the given folds have reached a share t, 0 to 1, of
// their values: flat at 0, the pose itself at 1. It depends on t alone, not on
// what was asked before.
//
// Free folds that loops decide follow the closed form or the continuation by
// which the pose was found, restarted from the nearest checkpoint before t. Joins
// hold in poses, not on the way: the loops they share are followed from flat by
// themselves, on whichever side of flat they lead, and reach the pose at 1 alone;
// where that fails they are closed by the solver from folds in proportion to the
// pose's, as which folds grow that only joins decide.
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
	s.end = m.end.value
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
			f = s.onTheWay(g, &m.solutions[k], &m.detours[k], t)
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
func (s *configuration) onTheWay(g *system, how *solution, aside *detour, t float64) *Fault {
	// A closed form holds at any progress; a path is taken up at a checkpoint; loops whose
	// end only joins find are followed from flat; else they are closed from where the folds
	// stand.
	s.anySide = false
	switch {
	case how.form != nil:
		s.progress = t
		s.applyProportions(g, how.form)
		if gap := s.worst(g.loops); gap > closedTo {
			s.minimize(g, g.loops, byAngle)
		}
	case how.path != nil:
		s.restart(g, how.path, t)
	case len(g.loops) == 0 || len(g.joins) == 0 || !s.take(g, aside, t):
		s.progress = t
		s.minimize(g, g.loops, byAngle)
	}
	// The same limits as in poses, save that a fold may still lie flat.
	if gap := s.worst(g.loops); s.progress < t || exceeds(gap, OpenLimit) || s.strays(g) {
		return s.fault(g, Fault{Kind: LoopUnsolved, Gap: gap})
	}
	return nil
}

// detour is the motion of loops whose end only joins find, which leads away from that
// end: a web of board stands out while the walls on either side of it go up, and is laid
// on one of them when they stand. It is found when it is first asked for.
type detour struct {
	mu    sync.Mutex
	found bool
	path  []checkpoint // as far as it leads; nil where it does not set out
}

// of gives the path of a system, nil as well once the context has ended.
func (d *detour) of(s *configuration, g *system) []checkpoint {
	d.mu.Lock()
	defer d.mu.Unlock()
	if !d.found {
		path := s.fromFlat(g)
		if s.stopped() {
			return nil
		}
		d.path, d.found = path, true
	}
	return d.path
}

// take puts the folds of a system at progress t of its detour and reports whether there
// is one that leads so far; if not, they stay as they are.
func (s *configuration) take(g *system, d *detour, t float64) bool {
	here := s.values(g)
	s.anySide = true
	if path := d.of(s, g); path != nil {
		s.restart(g, path, t)
		if s.progress == t && s.worst(g.loops) < surely && !s.strays(g) {
			return true
		}
	}
	s.anySide = false
	s.restore(g, here)
	return false
}

// fromFlat follows the loops of a system from flat as far as they lead. Sides, which are
// asked for at the end, are kept by the first step only, and only where it closes on
// them; else it is sought from folds in proportion to the end's.
func (s *configuration) fromFlat(g *system) []checkpoint {
	drive := s.drive(g)
	if drive < leastDrive {
		return nil
	}
	s.progress = math.Min(1, startTurn/drive)
	if !s.start(g, drive*s.progress) || s.worst(g.loops) >= surely {
		for _, u := range g.unknowns {
			s.value[u] = s.end[u] * s.progress
		}
		s.minimize(g, g.loops, byAngle)
	}
	if s.worst(g.loops) >= surely || s.strays(g) {
		return nil
	}
	path := []checkpoint{{0, make([]float64, len(g.unknowns))}, {s.progress, s.values(g)}}
	return s.track(g, path, 1, func() {})
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
