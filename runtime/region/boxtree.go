package region

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// fanout is how many boxes share a parent: few levels, and one parent's
// children still fit a few cache lines.
const fanout = 8

// boxTree finds the curves whose boxes meet a box. Curves are put in Morton
// order of their boxes' mid-points and packed level by level, so it serves
// clustered and stretched sets as well as even ones, where a uniform grid
// would not.
type boxTree struct {
	items  []int        // curve numbers in Morton order
	rank   []int        // place of each curve in items
	levels [][]geom.Box // levels[0] holds the curves' boxes, the last the root
}

// newBoxTree makes a tree over the curves' boxes, each grown by margin.
func newBoxTree(curves []geom.Curve, margin float64) *boxTree {
	boxes, all := make([]geom.Box, len(curves)), geom.EmptyBox()
	for i, c := range curves {
		boxes[i] = c.Bounds().Grow(margin / 2)
		all = all.Union(boxes[i])
	}
	keys := make([]uint64, len(curves))
	for i, b := range boxes {
		keys[i] = morton(b.Mid(), all)<<32 | uint64(i)
	}
	slices.Sort(keys)
	t := &boxTree{items: make([]int, len(curves)), rank: make([]int, len(curves))}
	leaves := make([]geom.Box, len(curves))
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

func parents(boxes []geom.Box) []geom.Box {
	var up []geom.Box
	for group := range slices.Chunk(boxes, fanout) {
		b := geom.EmptyBox()
		for _, g := range group {
			b = b.Union(g)
		}
		up = append(up, b)
	}
	return up
}

// morton interleaves 16 bits of each coordinate's place in the box.
func morton(p geom.Point, in geom.Box) uint64 {
	side := math.Max(in.Width(), in.Height())
	if !(side > 0) {
		return 0
	}
	x := uint64((p.X - in.Min.X) / side * math.MaxUint16)
	y := uint64((p.Y - in.Min.Y) / side * math.MaxUint16)
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

// after appends to found the curves numbered above i whose boxes meet curve
// i's box.
func (t *boxTree) after(i int, found []int) []int {
	top := len(t.levels) - 1
	return t.descend(top, 0, i, t.levels[0][t.rank[i]], found)
}

func (t *boxTree) descend(level, at, i int, b geom.Box, found []int) []int {
	if !t.levels[level][at].Meets(b) {
		return found
	}
	if level == 0 {
		if j := t.items[at]; j > i {
			found = append(found, j)
		}
		return found
	}
	last := min((at+1)*fanout, len(t.levels[level-1]))
	for k := at * fanout; k < last; k++ {
		found = t.descend(level-1, k, i, b, found)
	}
	return found
}
