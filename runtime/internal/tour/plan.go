package tour

import "github.com/creasewright/creasewright/runtime/geom"

// side is one of the two sides of a task: task t has the sides 2t and 2t+1, one
// of which is its entry and the other its exit. Those of an open task lie at its
// two ends, those of a closed one both at the start that is chosen for it.
type side int32

func sideOf(t int32) side   { return side(2 * t) }
func (s side) task() int32  { return int32(s >> 1) }
func (s side) other() side  { return s ^ 1 }
func (s side) second() bool { return s&1 == 1 }

// nowhere is the number of no task and no point.
const nowhere int32 = -1

// plan is the tasks as the search sees them: a closed tour of n tasks. A way that
// does not return becomes one by a depot, a last task whose first side is where the
// way begins and whose second side is where it ends.
type plan struct {
	points []geom.Point // of all tasks, one after the other
	first  []int32      // by task, its first point; one more at the end
	open   []bool       // by task: two sides that lie apart
	depot  int32        // the task that is no one's, or nowhere
	free   side         // from here on sides lie anywhere: the way to them is of length 0
}

func newPlan(tasks []Task, o Options) *plan {
	p := &plan{depot: nowhere, first: []int32{0}}
	for _, t := range tasks {
		p.add(t.Points, t.open())
	}
	p.free = side(2 * len(tasks))
	switch {
	case o.HasFrom && o.Return:
		p.depot = p.add([]geom.Point{o.From}, false)
		p.free += 2
	case o.HasFrom:
		p.depot = p.add([]geom.Point{o.From}, true)
		p.free++
	case !o.Return:
		p.depot = p.add(nil, false)
	}
	return p
}

func (p *plan) add(points []geom.Point, open bool) int32 {
	p.points = append(p.points, points...)
	p.first = append(p.first, int32(len(p.points)))
	p.open = append(p.open, open)
	return int32(len(p.open) - 1)
}

func (p *plan) size() int { return len(p.open) }

// starts is the points of a task, from first to before end.
func (p *plan) starts(t int32) (first, end int32) { return p.first[t], p.first[t+1] }

// chosen tells whether a task has several starts to choose from.
func (p *plan) chosen(t int32) bool { return !p.open[t] && p.first[t+1]-p.first[t] > 1 }

// pointsAt is the points where a side may lie.
func (p *plan) pointsAt(s side) (first, end int32) {
	first, end = p.starts(s.task())
	switch {
	case s >= p.free:
		return first, first
	case !p.open[s.task()] || s.task() == p.depot:
		return first, end
	}
	first += int32(s & 1)
	return first, first + 1
}

// sideAt is the side of a task that lies at one of its points, the first one of
// closed ones.
func (p *plan) sideAt(t, point int32) side {
	if p.open[t] {
		return sideOf(t) + side(point-p.first[t])
	}
	return sideOf(t)
}
