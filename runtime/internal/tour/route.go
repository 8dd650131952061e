package tour

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// route is a closed tour of a plan's tasks as an array, with what is needed to
// take back the last changes.
type route struct {
	*plan
	seq     []side       // by position, the entry of the task there
	pos     []int32      // by task, its position
	at      []int32      // by side, the point where it lies
	place   []geom.Point // by side, where that is
	journal []change     // since the last call of keep
}

// change is a stretch of positions that was turned round, or, where there is a
// task, the point at which it started before.
type change struct{ from, to, task, start int32 }

// newRoute is the tasks in their sequence, each entered at its first point; the way
// begins at the depot's first side.
func newRoute(p *plan) *route {
	n := p.size()
	r := &route{plan: p, seq: make([]side, n), pos: make([]int32, n), at: make([]int32, 2*n), place: make([]geom.Point, 2*n)}
	for t := range int32(n) {
		s := sideOf(t)
		r.seq[t], r.pos[t] = s, t
		switch {
		case t == p.depot && s >= p.free:
		case p.open[t] && s.other() < p.free:
			r.put(s, p.first[t])
			r.put(s.other(), p.first[t]+1)
		default:
			r.put(s, p.first[t])
			r.put(s.other(), p.first[t])
		}
	}
	if p.depot != nowhere {
		r.seq[p.depot] = sideOf(p.depot).other()
	}
	return r
}

// put lets a side lie at a point.
func (r *route) put(s side, point int32) { r.at[s], r.place[s] = point, r.points[point] }

func (r *route) in(t int32) side  { return r.seq[r.pos[t]] }
func (r *route) out(t int32) side { return r.in(t).other() }

// task is the one at a position.
func (r *route) task(i int) int32 { return r.seq[i].task() }

func (r *route) isOut(s side) bool { return r.in(s.task()) != s }

// beside is the side that the way joins to s.
func (r *route) beside(s side) side {
	i := int(r.pos[s.task()])
	if r.seq[i] == s {
		if i == 0 {
			i = len(r.seq)
		}
		return r.seq[i-1].other()
	}
	if i++; i == len(r.seq) {
		i = 0
	}
	return r.seq[i]
}

// gap is the distance between two sides, 0 from a free end. Products are rounded
// before they are added, so that all processors give the same bits.
func (r *route) gap(a, b side) float64 {
	if a >= r.free || b >= r.free {
		return 0
	}
	return dist(r.place[a], r.place[b])
}

func dist(p, q geom.Point) float64 { return math.Sqrt(squared(p.X-q.X, p.Y-q.Y)) }

func squared(dx, dy float64) float64 { return float64(dx*dx) + float64(dy*dy) }

// turn runs the positions from i to j, cyclic and both included, the other way
// round, or all others where these are fewer: as a closed way that is the same.
func (r *route) turn(i, j int32) {
	n := int32(len(r.seq))
	if length := cyclic(j-i, n) + 1; 2*length > n {
		i, j = cyclic(j+1, n), cyclic(i-1, n)
	}
	r.journal = append(r.journal, change{from: i, to: j, task: nowhere})
	r.turnStretch(i, j)
}

func (r *route) turnStretch(i, j int32) {
	n := int32(len(r.seq))
	for left := cyclic(j-i, n) + 1; left > 0; left -= 2 {
		a, b := r.seq[j].other(), r.seq[i].other()
		r.seq[i], r.seq[j] = a, b
		r.pos[a.task()], r.pos[b.task()] = i, j
		if i++; i == n {
			i = 0
		}
		if j--; j < 0 {
			j = n - 1
		}
	}
}

// cyclic brings a position that is off by less than a round back into 0…n−1.
func cyclic(i, n int32) int32 {
	if i < 0 {
		return i + n
	}
	if i >= n {
		return i - n
	}
	return i
}

// exchange replaces the joints a–b and c–d of the way by a–c and b–d, where the
// way runs a, b, …, c, d or the same backwards.
func (r *route) exchange(a, b, c, d side) {
	if r.isOut(a) {
		r.turn(r.pos[b.task()], r.pos[c.task()])
	} else {
		r.turn(r.pos[c.task()], r.pos[b.task()])
	}
}

// start sets the point at which a closed task begins.
func (r *route) start(t, point int32) {
	r.journal = append(r.journal, change{task: t, start: r.at[sideOf(t)]})
	r.put(sideOf(t), point)
	r.put(sideOf(t).other(), point)
}

// keep makes the changes so far final.
func (r *route) keep() { r.journal = r.journal[:0] }

// undo takes back the changes since the last call of keep.
func (r *route) undo() {
	for i := len(r.journal) - 1; i >= 0; i-- {
		if c := r.journal[i]; c.task == nowhere {
			r.turnStretch(c.from, c.to)
		} else {
			r.put(sideOf(c.task), c.start)
			r.put(sideOf(c.task).other(), c.start)
		}
	}
	r.keep()
}

// visits is the way as it is told to the caller: from the depot on where there
// is one, else from the task that came first, in the sense in which the depot is
// left at its first side.
func (r *route) visits() []Visit {
	n := len(r.seq)
	s := side(0) // the side at which a task is left
	if r.depot != nowhere {
		s = sideOf(r.depot)
	} else {
		s = r.out(0)
	}
	out := make([]Visit, 0, n)
	for range n {
		if s = r.beside(s); s.task() != r.depot {
			out = append(out, Visit{Task: int(s.task()), Start: int(r.at[s] - r.first[s.task()])})
		}
		s = s.other()
	}
	if r.depot == nowhere { // the task that came first has come last
		out = append(out[n-1:], out[:n-1]...)
	}
	return out
}
