package blank

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// boxTree finds the boxes that hold a point. It halves the boxes by their
// middles, along x and y by turns, so that one big panel among thousands of
// small ones costs nothing, where a grid would list it in every cell.
type boxTree struct {
	boxes []geom.Box
	order []int // box numbers; a node stands for a range of it
	nodes []boxNode
}

// boxNode is a range of boxes. Its left half is the next node.
type boxNode struct {
	hull     geom.Box
	from, to int
	right    int // the right half's node; 0 in a leaf
}

// leafSize is how many boxes are looked at one by one.
const leafSize = 4

// newBoxTree sorts the boxes in; their numbers are their places in the list.
func newBoxTree(boxes []geom.Box) *boxTree {
	t := &boxTree{boxes: boxes, order: make([]int, len(boxes))}
	for i := range t.order {
		t.order[i] = i
	}
	t.build(0, len(boxes), false)
	return t
}

// build makes the node of a range, halved along y if upright, and all below.
func (t *boxTree) build(from, to int, upright bool) {
	node := boxNode{hull: geom.EmptyBox(), from: from, to: to}
	for _, i := range t.order[from:to] {
		node.hull = node.hull.Union(t.boxes[i])
	}
	at := len(t.nodes)
	t.nodes = append(t.nodes, node)
	if to-from <= leafSize {
		return
	}
	slices.SortFunc(t.order[from:to], func(i, j int) int {
		a, b := t.boxes[i].Mid(), t.boxes[j].Mid()
		if upright {
			return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(i, j))
		}
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(i, j))
	})
	half := (from + to) / 2
	t.build(from, half, !upright)
	t.nodes[at].right = len(t.nodes)
	t.build(half, to, !upright)
}

// holding calls visit with the number of every box that holds p.
func (t *boxTree) holding(p geom.Point, visit func(box int)) { t.search(0, p, visit) }

func (t *boxTree) search(at int, p geom.Point, visit func(box int)) {
	node := t.nodes[at]
	switch {
	case !node.hull.Holds(p):
	case node.right > 0:
		t.search(at+1, p, visit)
		t.search(node.right, p, visit)
	default:
		for _, i := range t.order[node.from:node.to] {
			if t.boxes[i].Holds(p) {
				visit(i)
			}
		}
	}
}
