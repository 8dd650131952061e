package contact

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// nearby calls visit with every two stands whose boxes come within d of each
// other, the lesser number first. It sweeps along the axis over which the
// piece is longest: a sheet of n panels in rows then costs about n√n looks.
// It ends with the context's error or that of visit.
func nearby(ctx context.Context, plates []plate, d float64, visit func(i, j int) error) error {
	key := sweepAxis(plates)
	var order []int
	for i := range plates {
		if plates[i].ok {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(key(plates[i].box.min), key(plates[j].box.min)), cmp.Compare(i, j))
	})
	for k, i := range order {
		if err := ctx.Err(); err != nil {
			return err
		}
		end := key(plates[i].box.max) + d
		for _, j := range order[k+1:] {
			if key(plates[j].box.min) > end {
				break
			}
			if plates[i].box.within(plates[j].box, d) {
				if err := visit(min(i, j), max(i, j)); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

// sweepAxis picks the coordinate over which the stands spread most.
func sweepAxis(plates []plate) func(geom.Point3) float64 {
	all := emptyBox3()
	for i := range plates {
		if plates[i].ok {
			all = all.add(plates[i].box.min).add(plates[i].box.max)
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
