package region

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// fewCurves is up to how many curves all pairs are looked at: their boxes are
// compared faster than sorted.
const fewCurves = 48

// Near visits every two curves, i < j, whose boxes come within reach mm of each
// other, in order of i, then of j. Time grows as n log n for curves that are
// each near few others.
func Near(curves []geom.Curve, reach float64, visit func(i, j int)) {
	boxes := make([]geom.Box, len(curves))
	for i, c := range curves {
		boxes[i] = c.Bounds().Grow(reach / 2)
	}
	if len(boxes) <= fewCurves {
		for i, b := range boxes {
			for j := i + 1; j < len(boxes); j++ {
				if b.Intersects(boxes[j]) {
					visit(i, j)
				}
			}
		}
		return
	}
	tree := geom.NewBoxTree(boxes)
	var found []int
	for i, b := range boxes {
		found = slices.DeleteFunc(tree.Intersecting(b, found[:0]), func(j int) bool { return j <= i })
		slices.Sort(found)
		for _, j := range found {
			visit(i, j)
		}
	}
}
