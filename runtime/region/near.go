package region

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Near visits every two curves, i < j, whose boxes come within reach mm of each
// other, in order of i, then of j. Time grows as n log n for curves that are
// each near few others.
func Near(curves []geom.Curve, reach float64, visit func(i, j int)) {
	boxes := make([]geom.Box, len(curves))
	for i, c := range curves {
		boxes[i] = c.Bounds().Grow(reach / 2)
	}
	tree := geom.NewBoxTree(boxes)
	var found []int
	for i, b := range boxes {
		found = slices.DeleteFunc(tree.Meeting(b, found[:0]), func(j int) bool { return j <= i })
		slices.Sort(found)
		for _, j := range found {
			visit(i, j)
		}
	}
}
