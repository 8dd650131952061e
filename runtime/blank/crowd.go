package blank

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// maxStack is on how many panels made before it a panel may lie and still be
// laid out. No blank that can be made has any; a loop in a script that goes
// round and round can have thousands, which would cross each other pair by
// pair to say no more.
const maxStack = 12

// crowded tells, by panel, which lie on more than maxStack others that are
// laid out.
func crowded(ctx context.Context, outlines []geom.Path) []bool {
	boxes := make([]geom.Box, len(outlines))
	for i, p := range outlines {
		boxes[i] = p.Bounds()
	}
	out, tree := make([]bool, len(outlines)), geom.NewBoxTree(boxes)
	var near []int
	for i, b := range boxes {
		if ended(ctx, i) {
			break
		}
		near = slices.DeleteFunc(tree.Intersecting(b, near[:0]), func(j int) bool { return j >= i || out[j] })
		out[i] = len(near) > maxStack && liesOnMany(outlines, i, near)
	}
	return out
}

// liesOnMany reports whether a panel lies on more than maxStack of those near.
func liesOnMany(outlines []geom.Path, i int, near []int) bool {
	own, n := [][]geom.Curve{outlines[i].Curves()}, 0
	for _, j := range near {
		if region.Overlaps(own, [][]geom.Curve{outlines[j].Curves()}) {
			n++
		}
		if n > maxStack {
			return true
		}
	}
	return false
}
