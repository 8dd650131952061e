package geom

import (
	"cmp"
	"math"
	"slices"
)

// boxPairs calls visit for every two boxes that share a point, i < j, until it
// returns false. It sweeps along the axis on which the boxes are shorter, so
// that few are open at a time; time is n log n plus the pairs that overlap on
// that axis.
func boxPairs(boxes []Box, visit func(i, j int) bool) {
	wide, high := 0.0, 0.0
	all := EmptyBox()
	for _, b := range boxes {
		wide, high, all = wide+b.Width(), high+b.Height(), all.Union(b)
	}
	span := func(b Box) (lo, hi float64) { return b.Min.X, b.Max.X }
	if high*math.Max(all.Width(), Tiny) < wide*math.Max(all.Height(), Tiny) {
		span = func(b Box) (lo, hi float64) { return b.Min.Y, b.Max.Y }
	}
	order := make([]int, len(boxes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, _ := span(boxes[i])
		b, _ := span(boxes[j])
		return cmp.Compare(a, b)
	})
	var open []int
	for _, i := range order {
		lo, _ := span(boxes[i])
		kept := open[:0]
		for _, j := range open {
			if _, hi := span(boxes[j]); hi < lo {
				continue
			}
			kept = append(kept, j)
			if boxes[i].Intersects(boxes[j]) && !visit(min(i, j), max(i, j)) {
				return
			}
		}
		open = append(kept, i)
	}
}
