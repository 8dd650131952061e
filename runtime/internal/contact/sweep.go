package contact

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// nearby calls visit with every two stands whose boxes come within d of each
// other, the lesser number first. It sweeps along the axis over which the
// piece is longest: a sheet of n panels in rows then costs about n√n looks.
func nearby(stands []stand, d float64, visit func(i, j int)) {
	key := sweepAxis(stands)
	var order []int
	for i := range stands {
		if stands[i].ok {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(key(stands[i].box.min), key(stands[j].box.min)), cmp.Compare(i, j))
	})
	for k, i := range order {
		end := key(stands[i].box.max) + d
		for _, j := range order[k+1:] {
			if key(stands[j].box.min) > end {
				break
			}
			if stands[i].box.within(stands[j].box, d) {
				visit(min(i, j), max(i, j))
			}
		}
	}
}

// sweepAxis picks the coordinate over which the stands spread most.
func sweepAxis(stands []stand) func(geom.Point3) float64 {
	all := emptyBox3()
	for i := range stands {
		if stands[i].ok {
			all = all.add(stands[i].box.min).add(stands[i].box.max)
		}
	}
	switch size := all.max.Sub(all.min); {
	case size.X >= size.Y && size.X >= size.Z:
		return func(p geom.Point3) float64 { return p.X }
	case size.Y >= size.Z:
		return func(p geom.Point3) float64 { return p.Y }
	}
	return func(p geom.Point3) float64 { return p.Z }
}
