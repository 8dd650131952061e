package tour

import "context"

const (
	// leastGain is by how many mm a way must become shorter for a change to count.
	// It is far below what any machine resolves and far above the rounding of sums of
	// lengths, so that no round of changes comes back to where it began.
	leastGain = 1e-7

	// looks is after how many steps, each of microseconds up to a tenth of a ms, a loop looks at its
	// context.
	looks = 32
)

// search is a route that is being made shorter, with the tasks that are still to be
// looked at.
type search struct {
	*route
	near    [][]near
	queue   []int32
	queued  []bool
	choices bool // some tasks have several starts
}

// newSearch queues all tasks.
func newSearch(r *route, lists [][]near) *search {
	s := &search{route: r, near: lists, queued: make([]bool, r.size())}
	for t := range int32(r.size()) {
		s.choices = s.choices || s.chosen(t)
		s.push(t)
	}
	return s
}

func (s *search) push(t int32) {
	if !s.queued[t] {
		s.queued[t] = true
		s.queue = append(s.queue, t)
	}
}

// settle looks at the queued tasks, and at those that changes touch, until none of
// the moves below makes the way shorter. It gives how much was gained.
func (s *search) settle(ctx context.Context) (gained float64, err error) {
	for head := 0; head < len(s.queue); head++ {
		if head%looks == looks-1 && ctx.Err() != nil {
			return gained, context.Cause(ctx)
		}
		t := s.queue[head]
		s.queued[t] = false
		for gain := s.improve(t); gain > 0; gain = s.improve(t) {
			gained += gain
		}
	}
	s.queue = s.queue[:0]
	return gained, nil
}

// improve makes one change at a task for the better, if it finds one, and gives
// what it gains.
func (s *search) improve(t int32) float64 {
	if gain := s.restart(t); gain > 0 {
		return gain
	}
	for _, a := range [...]side{sideOf(t), sideOf(t) + 1} {
		if m := s.bestMove(a); m.gain > 0 {
			s.apply(m)
			return m.gain
		}
	}
	return s.shift(t)
}

// restart enters a closed task where that is best between its neighbours.
func (s *search) restart(t int32) float64 {
	if !s.chosen(t) {
		return 0
	}
	in, out := s.in(t), s.out(t)
	p, q := s.beside(in), s.beside(out)
	point, l := s.bestStart(t, p, q)
	gain := s.gap(p, in) + s.gap(out, q) - l
	if gain < leastGain {
		return 0
	}
	s.start(t, point)
	s.push(p.task())
	s.push(q.task())
	return gain
}

// bestStart is the start of a closed task with the shortest way from p over it to
// q, and that way's length.
func (s *search) bestStart(t int32, p, q side) (point int32, length float64) {
	u, v := s.place[p], s.place[q]
	if p >= s.free {
		u = v
	}
	if q >= s.free {
		v = u
	}
	first, end := s.starts(t)
	point = nowhere
	for i := first; i < end; i++ {
		if l := dist(u, s.points[i]) + dist(s.points[i], v); point == nowhere || l < length {
			point, length = i, l
		}
	}
	switch {
	case p >= s.free && q >= s.free:
		length = 0
	case p >= s.free || q >= s.free:
		length /= 2
	}
	return point, length
}

// shift moves a single closed task elsewhere, where it may start at another point.
func (s *search) shift(t int32) float64 {
	if !s.chosen(t) {
		return 0
	}
	a, b := s.in(t), s.out(t)
	p, q := s.beside(a), s.beside(b)
	saved := s.gap(p, a) + s.gap(b, q) - s.gap(p, q)
	for _, n := range s.near[a] {
		if n.dist >= saved {
			break
		}
		for c := n.side; ; c = c.other() {
			if d := s.beside(c); d.task() != t {
				point, l := s.bestStart(t, c, d)
				if gain := saved + s.gap(c, d) - l; gain >= leastGain {
					s.relocate(t, c, d, point)
					s.push(p.task())
					s.push(q.task())
					return gain
				}
			}
			if c != n.side || s.open[c.task()] {
				break
			}
		}
	}
	return 0
}

// relocate puts a task into the joint of c and d, and starts it at a point. Which
// of its sides is the entry does not matter.
func (s *search) relocate(t int32, c, d side, point int32) {
	if !s.isOut(c) {
		c, d = d, c
	}
	a, b := s.in(t), s.out(t)
	p, q := s.beside(a), s.beside(b)
	s.exchange(p, a, c, d) // p→a b→q … c→d becomes p→c … q→b a→d
	s.exchange(p, c, q, b) // p→q … c→b a→d
	s.start(t, point)
	for _, e := range [...]side{a, c, d} {
		s.push(e.task())
	}
}
