package tour

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
)

// leafSize is up to how many points stay together in the tree: a few distances
// cost less than going down further.
const leafSize = 6

// tree is a k-d tree over the points of a plan, halved by number, so that it is
// log₂ n deep however the points lie. Points can be taken out.
type tree struct {
	*plan
	owner []int32 // by point, its task
	order []int32 // points, those of a node together
	nodes []node
	leaf  []int32 // by point, the leaf that holds it
}

// node is the points order[lo:hi] and the box around them.
type node struct {
	min, max  geom.Point
	lo, hi    int32
	live      int32 // points that are not taken out
	low, high int32 // nodes of the two halves; 0 for a leaf
	parent    int32
}

func newTree(ctx context.Context, p *plan) (*tree, error) {
	n := len(p.points)
	t := &tree{plan: p, owner: make([]int32, n), order: make([]int32, n), leaf: make([]int32, n)}
	for task := range int32(p.size()) {
		for i := p.first[task]; i < p.first[task+1]; i++ {
			t.owner[i], t.order[i] = task, i
		}
	}
	if _, err := t.grow(ctx, 0, int32(n), 0); err != nil {
		return nil, err
	}
	return t, nil
}

func (t *tree) grow(ctx context.Context, lo, hi, parent int32) (int32, error) {
	if ctx.Err() != nil {
		return 0, context.Cause(ctx)
	}
	id := int32(len(t.nodes))
	nd := node{lo: lo, hi: hi, live: hi - lo, parent: parent}
	for k, i := range t.order[lo:hi] {
		q := t.points[i]
		if k == 0 {
			nd.min, nd.max = q, q
		}
		nd.min = geom.Pt(min(nd.min.X, q.X), min(nd.min.Y, q.Y))
		nd.max = geom.Pt(max(nd.max.X, q.X), max(nd.max.Y, q.Y))
	}
	t.nodes = append(t.nodes, nd)
	if hi-lo <= leafSize {
		for _, i := range t.order[lo:hi] {
			t.leaf[i] = id
		}
		return id, nil
	}
	mid := (lo + hi) / 2
	t.halve(lo, hi, mid, nd.max.X-nd.min.X >= nd.max.Y-nd.min.Y)
	low, err := t.grow(ctx, lo, mid, id)
	if err != nil {
		return 0, err
	}
	high, err := t.grow(ctx, mid, hi, id)
	if err != nil {
		return 0, err
	}
	t.nodes[id].low, t.nodes[id].high = low, high
	return id, nil
}

// halve sorts order[lo:hi] so far that the points before mid are not beyond those
// from mid on (Hoare's selection).
func (t *tree) halve(lo, hi, mid int32, alongX bool) {
	key := func(k int32) float64 {
		if alongX {
			return t.points[t.order[k]].X
		}
		return t.points[t.order[k]].Y
	}
	for lo, hi := lo, hi-1; lo < hi; {
		pivot := key((lo + hi) / 2)
		i, j := lo, hi
		for i <= j {
			for key(i) < pivot {
				i++
			}
			for key(j) > pivot {
				j--
			}
			if i <= j {
				t.order[i], t.order[j] = t.order[j], t.order[i]
				i++
				j--
			}
		}
		switch {
		case mid <= j:
			hi = j
		case mid >= i:
			lo = i
		default:
			return
		}
	}
}

// take takes all points of a task out.
func (t *tree) take(task int32) {
	for i := t.first[task]; i < t.first[task+1]; i++ {
		for id := t.leaf[i]; ; id = t.nodes[id].parent {
			t.nodes[id].live--
			if id == 0 {
				break
			}
		}
		nd := &t.nodes[t.leaf[i]] // swap the point behind the live ones of its leaf
		for k := nd.lo; k <= nd.lo+nd.live; k++ {
			if t.order[k] == i {
				t.order[k], t.order[nd.lo+nd.live] = t.order[nd.lo+nd.live], i
				break
			}
		}
	}
}

// visit calls see for points in reach of place q, nearer nodes first. The reach,
// a squared distance that see gives back, may shrink meanwhile; points at just that
// distance count as out of reach, which keeps heaps of coinciding points cheap.
func (t *tree) visit(q geom.Point, reach float64, see func(point int32, squared float64) float64) {
	var search func(id int32)
	search = func(id int32) {
		nd := &t.nodes[id]
		if nd.low == 0 {
			for _, i := range t.order[nd.lo : nd.lo+nd.live] {
				if d := squared(t.points[i].X-q.X, t.points[i].Y-q.Y); d < reach {
					reach = see(i, d)
				}
			}
			return
		}
		near, far := nd.low, nd.high
		dn, df := t.toBox(near, q), t.toBox(far, q)
		if df < dn {
			near, far, dn, df = far, near, df, dn
		}
		if t.nodes[near].live > 0 && dn < reach {
			search(near)
		}
		if t.nodes[far].live > 0 && df < reach {
			search(far)
		}
	}
	search(0)
}

// toBox is the squared distance of q from the box of a node.
func (t *tree) toBox(id int32, q geom.Point) float64 {
	nd := &t.nodes[id]
	return squared(max(nd.min.X-q.X, q.X-nd.max.X, 0), max(nd.min.Y-q.Y, q.Y-nd.max.Y, 0))
}
