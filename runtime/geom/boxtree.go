package geom

import (
	"math"
	"slices"
)

// fanout is how many boxes share a parent: few levels, and one parent's
// children still fit a few cache lines.
const fanout = 8

// BoxTree finds, among many boxes, those that meet another. Boxes are put in
// Morton order of their mid-points and packed level by level, so it serves
// clustered and stretched sets, and one big box among thousands of small ones,
// where a uniform grid would not. Making one takes n log n; it is then only
// read.
type BoxTree struct {
	items  []int   // box numbers in Morton order
	rank   []int   // place of each box in items
	levels [][]Box // levels[0] holds the boxes in that order, the last the root
}

// NewBoxTree makes a tree of boxes; their numbers are their places in the list.
// Empty boxes are never found.
func NewBoxTree(boxes []Box) *BoxTree {
	all := EmptyBox()
	for _, b := range boxes {
		all = all.Union(b)
	}
	keys := make([]uint64, len(boxes))
	for i, b := range boxes {
		keys[i] = uint64(i)
		if !b.Empty() {
			keys[i] |= morton(b.Mid(), all) << 32
		}
	}
	slices.Sort(keys)
	t := &BoxTree{items: make([]int, len(boxes)), rank: make([]int, len(boxes))}
	leaves := make([]Box, len(boxes))
	for k, key := range keys {
		i := int(key & math.MaxUint32)
		t.items[k], t.rank[i], leaves[k] = i, k, boxes[i]
	}
	t.levels = append(t.levels, leaves)
	for len(t.levels[len(t.levels)-1]) > 1 {
		t.levels = append(t.levels, parents(t.levels[len(t.levels)-1]))
	}
	return t
}

// parents is the level above: a box round each fanout boxes in turn.
func parents(boxes []Box) []Box {
	up := make([]Box, 0, len(boxes)/fanout+1)
	for group := range slices.Chunk(boxes, fanout) {
		b := EmptyBox()
		for _, g := range group {
			b = b.Union(g)
		}
		up = append(up, b)
	}
	return up
}

// morton interleaves 16 bits of each coordinate's place in the box (Morton order,
// from memory): points that are near each other mostly have keys that are. Both
// axes have the scale of the longer side, so that cells are square.
func morton(p Point, in Box) uint64 {
	side := math.Max(in.Width(), in.Height())
	if !(side > 0) {
		return 0
	}
	x := uint64(float64((p.X - in.Min.X) / side * math.MaxUint16))
	y := uint64(float64((p.Y - in.Min.Y) / side * math.MaxUint16))
	return spread(x) | spread(y)<<1
}

// spread puts a zero bit before each of the low 16 bits.
func spread(v uint64) uint64 {
	v &= math.MaxUint16
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// Box is the box of the given number.
func (t *BoxTree) Box(i int) Box { return t.levels[0][t.rank[i]] }

// Intersecting appends to found the numbers of the boxes that share a point with b,
// in no order to rely on but the same one every time.
func (t *BoxTree) Intersecting(b Box, found []int) []int {
	if len(t.items) == 0 {
		return found
	}
	return t.descend(len(t.levels)-1, 0, b, found)
}

// descend appends what is found below one box: number at of a level, counted from
// the leaves.
// Exact, by Box.Intersects: a parent's box is the union of its children's, which
// rounds nothing, so no box that meets b is passed over.
func (t *BoxTree) descend(level, at int, b Box, found []int) []int {
	if !t.levels[level][at].Intersects(b) {
		return found
	}
	if level == 0 {
		return append(found, t.items[at])
	}
	last := min((at+1)*fanout, len(t.levels[level-1]))
	for k := at * fanout; k < last; k++ {
		found = t.descend(level-1, k, b, found)
	}
	return found
}

// fewBoxes is up to how many boxes BoxPairs compares all pairs, which for so few
// takes less time than making a tree.
const fewBoxes = 48

// BoxPairs is the broad phase of all that compares things with one another: it
// visits every two boxes, i < j, that share a point, in order of i, then of j,
// until visit gives false. Time grows as n log n for boxes that each meet few
// others. Boxes that only touch share a point; whoever needs a margin grows the
// boxes by half of it. Empty boxes share none.
func BoxPairs(boxes []Box, visit func(i, j int) bool) {
	if len(boxes) <= fewBoxes {
		for i, b := range boxes {
			for j := i + 1; j < len(boxes); j++ {
				if b.Intersects(boxes[j]) && !visit(i, j) {
					return
				}
			}
		}
		return
	}
	tree := NewBoxTree(boxes)
	var found []int
	for i, b := range boxes {
		found = slices.DeleteFunc(tree.Intersecting(b, found[:0]), func(j int) bool { return j <= i })
		slices.Sort(found)
		for _, j := range found {
			if !visit(i, j) {
				return
			}
		}
	}
}
