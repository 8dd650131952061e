package tour

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// neighbours is how many sides of other tasks are looked at from each side for the
// first new joint of a move, and laterNeighbours for the second. More of them cost
// time and hardly shorten ways (Johnson and McGeoch 1997; and measured).
const neighbours, laterNeighbours = 10, 3

// near is the sides that lie close to one: of an open task each end by itself, of a
// closed one its first side for both, at the least distance of any two starts.
type near struct {
	side side
	dist float64
}

// nearest is by side its neighbours, nearest first. A free end is near to all.
func nearest(ctx context.Context, t *tree) ([][]near, error) {
	lists := make([][]near, 2*t.size())
	store := make([]near, 0, len(lists)*(neighbours+1))
	for s := range side(len(lists)) {
		if s%looks == 0 && ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		if s.second() && !t.open[s.task()] {
			lists[s] = lists[s.other()]
			continue
		}
		begin := len(store)
		if int(t.free) < len(lists) && s.task() != t.depot {
			store = append(store, near{side: t.free})
		}
		store = t.around(s, store)
		lists[s] = store[begin:len(store):len(store)]
	}
	return lists, nil
}

// around appends the neighbours of a side to a list.
func (t *tree) around(s side, list []near) []near {
	begin := len(list)
	reach := func() float64 {
		if len(list)-begin < neighbours {
			return math.Inf(1)
		}
		return list[len(list)-1].dist
	}
	first, end := t.pointsAt(s)
	for i := first; i < end; i++ {
		t.visit(t.points[i], reach(), func(point int32, d float64) float64 {
			if u := t.owner[point]; u != s.task() {
				list = insert(list, begin, near{t.sideAt(u, point), d})
			}
			return reach()
		})
	}
	for k := range list[begin:] {
		list[begin+k].dist = math.Sqrt(list[begin+k].dist)
	}
	return list
}

// insert puts a neighbour into a list sorted from begin on, at its distance, once
// for each side and no more than the nearest ones.
func insert(list []near, begin int, n near) []near {
	k := len(list)
	for i := begin; i < len(list); i++ {
		if list[i].side == n.side {
			if list[i].dist <= n.dist {
				return list
			}
			k = i
			break
		}
	}
	switch {
	case k < len(list):
	case len(list)-begin < neighbours:
		list = append(list, n)
	default:
		k--
	}
	for ; k > begin && list[k-1].dist > n.dist; k-- {
		list[k] = list[k-1]
	}
	list[k] = n
	return list
}

// greedy puts the tasks of a route into the sequence in which always the nearest
// one that is left comes next, from the depot or the first task on. It empties the
// tree.
func (r *route) greedy(ctx context.Context, t *tree) error {
	in := side(0)
	if r.depot != nowhere {
		in = sideOf(r.depot).other()
	}
	for k := range r.seq {
		if k%looks == 0 && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		if k > 0 {
			in = r.follow(t, r.place[in.other()])
		}
		r.seq[k], r.pos[in.task()] = in, int32(k)
		t.take(in.task())
	}
	return nil
}

// follow is the entry of the task that lies nearest to a place.
func (r *route) follow(t *tree, place geom.Point) side {
	nearest := nowhere
	t.visit(place, math.Inf(1), func(point int32, d float64) float64 {
		nearest = point
		return d
	})
	s := r.sideAt(t.owner[nearest], nearest)
	if !r.open[s.task()] {
		r.put(s, nearest)
		r.put(s.other(), nearest)
	}
	return s
}
