package tour

// kind is how the joints of a move are made anew. Its joints t1–t2, t3–t4 and
// t5–t6 are opened and t2–t3, t4–t5 and t6–t1 made, the sides being numbered as by
// Lin and Kernighan (1973). With t1 an exit the way is a path from t2 to t1, cut
// into stretches A, B and C; a dash marks one that is run the other way round.
type kind uint8

const (
	reversal  kind = iota // A′ B: two joints only, t4–t1 is made
	chained               // two reversals, one after the other: B′ A C or B A′ C
	swap                  // B A C
	backwards             // A′ B′ C
)

// move is a change of up to three joints and what it gains.
type move struct {
	kind kind
	t    [6]side
	gain float64
}

// bestMove is the most gainful move that opens the joint at side t1: all that
// exchange two or three joints one after the other, with partial sums of gains that
// stay positive, among near sides. These contain the moves of one or more tasks
// elsewhere, either way round.
func (s *search) bestMove(t1 side) (best move) {
	t2 := s.beside(t1)
	v := view{search: s, forward: s.isOut(t1), origin: s.pos[t2.task()]}
	open := s.gap(t1, t2)
	best.gain = leastGain
	for _, n := range s.near[t2] {
		if n.dist >= open {
			break
		}
		left := open - s.gap(t2, n.side)
		if left <= 0 {
			continue
		}
		for t3 := n.side; ; t3 = t3.other() {
			if t3 != t1 {
				v.third(&best, [6]side{t1, t2, t3, s.beside(t3)}, left)
			}
			if t3 != n.side || s.open[t3.task()] {
				break
			}
		}
	}
	if best.gain == leastGain {
		best.gain = 0
	}
	return best
}

// view is the way as a path from t2 to t1, read forwards or backwards.
type view struct {
	*search
	forward bool
	origin  int32 // position of t2's task
}

// entry tells whether a side is the entry of its task in this sense.
func (v *view) entry(s side) bool { return v.isOut(s) != v.forward }

// rankAt is how many tasks lie between t2's and the one at a position, the first
// included.
func (v *view) rankAt(position int32) int32 {
	d := position - v.origin
	if !v.forward {
		d = -d
	}
	if d < 0 {
		d += int32(len(v.seq))
	}
	return d
}

// third looks for the third joint, t1 to t4 and the gain up to t3 being given.
func (v *view) third(best *move, t [6]side, gain float64) {
	t1, t4 := t[0], t[3]
	gain += v.gap(t[2], t4)
	entered := v.entry(t[2])
	if entered {
		if g := gain - v.gap(t4, t1); g > best.gain {
			*best = move{reversal, t, g}
		}
	}
	cut := v.rankAt(v.pos[t[2].task()])
	for _, n := range v.near[t4][:min(laterNeighbours, len(v.near[t4]))] {
		if gain-n.dist <= best.gain {
			break
		}
		left := gain - v.gap(t4, n.side)
		if left <= 0 {
			continue
		}
		for t5 := n.side; ; t5 = t5.other() {
			if k, ok := v.closes(t5, cut, entered); ok {
				t6 := v.beside(t5)
				if g := left + v.gap(t5, t6) - v.gap(t6, t1); g > best.gain {
					t[4], t[5] = t5, t6
					*best = move{k, t, g}
				}
			}
			if t5 != n.side || v.open[t5.task()] {
				break
			}
		}
	}
}

// closes tells which kind of move opens the joint at t5, if it leaves the way in
// one; cut is the rank of t3's task, and entered that t3 is its entry.
func (v *view) closes(t5 side, cut int32, entered bool) (kind, bool) {
	p := v.pos[t5.task()]
	k, entry := v.rankAt(p), (v.seq[p] == t5) == v.forward
	if entered { // t4 is the exit of the task before the cut
		if k >= cut {
			return chained, entry && k > cut
		}
		return chained, !entry && k < cut-1
	}
	// t3 is the exit of the task at the cut: what lies up to there is a ring by now
	if entry {
		return backwards, k > 0 && k <= cut
	}
	return swap, k < cut
}

// apply carries a move out and queues the tasks at its joints.
func (s *search) apply(m move) {
	t1, t2, t3, t4, t5, t6 := m.t[0], m.t[1], m.t[2], m.t[3], m.t[4], m.t[5]
	ends := m.t[:]
	switch m.kind {
	case reversal:
		s.exchange(t1, t2, t4, t3)
		ends = ends[:4]
	case chained:
		s.exchange(t1, t2, t4, t3)
		s.exchange(t1, t4, t6, t5)
	case swap:
		s.exchange(t1, t2, t3, t4)
		s.exchange(t1, t3, t6, t5)
		s.exchange(t3, t5, t2, t4)
	case backwards:
		s.exchange(t1, t2, t6, t5)
		s.exchange(t2, t5, t3, t4)
	}
	for _, e := range ends {
		s.push(e.task())
	}
}
