package contact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// box3 is an upright box in space; it is empty when a corner of it is NaN or
// the corners are the wrong way round.
type box3 struct{ min, max geom.Point3 }

// emptyBox3 holds nothing: any box joined to it is that box.
// within is false of it for every d.
func emptyBox3() box3 {
	inf := math.Inf(1)
	return box3{geom.Point3{X: inf, Y: inf, Z: inf}, geom.Point3{X: -inf, Y: -inf, Z: -inf}}
}

// add grows b to hold p.
func (b box3) add(p geom.Point3) box3 {
	return box3{
		geom.Point3{X: min(b.min.X, p.X), Y: min(b.min.Y, p.Y), Z: min(b.min.Z, p.Z)},
		geom.Point3{X: max(b.max.X, p.X), Y: max(b.max.Y, p.Y), Z: max(b.max.Z, p.Z)},
	}
}

// union holds both boxes.
func (b box3) union(c box3) box3 { return b.add(c.min).add(c.max) }

// mid is the centre of b.
func (b box3) mid() geom.Point3 { return b.min.Lerp(b.max, 0.5) }

// within reports whether the two boxes come within d of each other on every
// axis.
// It holds for boxes whose distance is at most d, and for some that are farther
// apart, by up to d·√3 across a corner: a broad phase may only err that way.
func (b box3) within(c box3, d float64) bool {
	return b.min.X-d <= c.max.X && c.min.X-d <= b.max.X &&
		b.min.Y-d <= c.max.Y && c.min.Y-d <= b.max.Y &&
		b.min.Z-d <= c.max.Z && c.min.Z-d <= b.max.Z
}

// rounded is the box to a step, to be compared.
// The six are min and max in steps, as whole numbers.
func (b box3) rounded(step float64) [6]float64 {
	out := [6]float64{b.min.X, b.min.Y, b.min.Z, b.max.X, b.max.Y, b.max.Z}
	for i, v := range out {
		out[i] = math.Round(v/step) + 0 // no negative zero
	}
	return out
}

// longest reads the coordinate over which the box is longest.
func (b box3) longest() func(geom.Point3) float64 {
	switch size := b.max.Sub(b.min); {
	case size.X >= size.Y && size.X >= size.Z:
		return func(p geom.Point3) float64 { return p.X }
	case size.Y >= size.Z:
		return func(p geom.Point3) float64 { return p.Y }
	}
	return func(p geom.Point3) float64 { return p.Z }
}

// boxTree is the broad phase: a binary tree of boxes, each node with the box
// round all below it, halved at the median along its longest side. Sorting at each
// level takes n log² n to build; looking for the k boxes near one takes about
// k + log n steps where few boxes overlap.
//
// geom.BoxTree does the same in the plane. It is another type: two boxes are
// compared by four numbers there and by six here, its Morton code has two
// coordinates, and one tree here serves several distances d, where boxes would
// have to be grown beforehand.
type boxTree struct {
	boxes []box3
	items []int // numbers of boxes; every node has a stretch of them
	nodes []treeNode
}

// treeNode has its left child next to it; right is 0 for a leaf.
type treeNode struct {
	box      box3
	from, to int // its stretch of items
	right    int
}

// leafSize is how many boxes a leaf holds at most.
const leafSize = 4

// newBoxTree builds the tree of the boxes for which takes holds.
// boxes is kept, not copied, and must not change while the tree is in use. None of
// those taken may be empty: union makes an infinite box of it.
func newBoxTree(boxes []box3, takes func(i int) bool) *boxTree {
	t := &boxTree{boxes: boxes}
	for i := range boxes {
		if takes(i) {
			t.items = append(t.items, i)
		}
	}
	if len(t.items) > 0 {
		t.build(0, len(t.items))
	}
	return t
}

// build adds the node of a stretch of items and all below it.
// Nodes stand in preorder. Ties of the median go by number, so that the tree depends
// on the boxes alone.
func (t *boxTree) build(from, to int) {
	n, box := len(t.nodes), emptyBox3()
	for _, i := range t.items[from:to] {
		box = box.union(t.boxes[i])
	}
	t.nodes = append(t.nodes, treeNode{box: box, from: from, to: to})
	if to-from <= leafSize {
		return
	}
	axis := box.longest()
	slices.SortFunc(t.items[from:to], func(i, j int) int {
		return cmp.Or(cmp.Compare(axis(t.boxes[i].mid()), axis(t.boxes[j].mid())), cmp.Compare(i, j))
	})
	t.build(from, (from+to)/2)
	t.nodes[n].right = len(t.nodes)
	t.build((from+to)/2, to)
}

// near appends to out the numbers of the boxes that come within d of a box, in
// rising order.
// The result does not depend on the shape of the tree. A box that is itself in the
// tree is found too.
func (t *boxTree) near(out []int, b box3, d float64) []int {
	if len(t.nodes) == 0 {
		return out
	}
	first := len(out)
	var stack [64]int // depth is at most log₂ of the boxes
	for top := 1; top > 0; {
		top--
		k := stack[top]
		n := &t.nodes[k]
		switch {
		case !n.box.within(b, d):
		case n.right > 0:
			stack[top], stack[top+1] = k+1, n.right
			top += 2
		default:
			for _, i := range t.items[n.from:n.to] {
				if t.boxes[i].within(b, d) {
					out = append(out, i)
				}
			}
		}
	}
	slices.Sort(out[first:])
	return out
}

// pairs calls visit with every two boxes of the tree that come within d of each
// other, the lesser number first, in rising order. It ends with the cause of
// the context's end or the error of visit.
func (t *boxTree) pairs(ctx context.Context, d float64, visit func(i, j int) error) error {
	// Asked in rising order, and only for greater numbers, each pair comes once and the order does
	// not depend on the tree.
	order := slices.Sorted(slices.Values(t.items))
	var near []int
	for _, i := range order {
		if err := ended(ctx); err != nil {
			return err
		}
		near = t.near(near[:0], t.boxes[i], d)
		for _, j := range near {
			if j > i {
				if err := visit(i, j); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
