package check

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// row has the panels of a closed piece in order along the axis over which it is
// longest, so that those near a place are found without asking all.
type row struct {
	axis  func(geom.Point3) float64
	order []int   // of ordinary length, by their lower ends
	long  []int   // those many times as long as others
	most  float64 // the greatest length in order
}

// longTimes is how many times the mean length makes a panel long.
const longTimes = 8

func newRow(solids []solid) row {
	lo, hi := boxOf(solids)
	r := row{axis: longestAxis(hi.Sub(lo))}
	length := func(i int) float64 { return r.axis(solids[i].max) - r.axis(solids[i].min) }
	sum, n := 0.0, 0
	for i := range solids {
		if solids[i].ok {
			sum, n = sum+length(i), n+1
		}
	}
	for i := range solids {
		switch l := length(i); {
		case !solids[i].ok:
		case l*float64(n) > longTimes*sum:
			r.long = append(r.long, i)
		default:
			r.order, r.most = append(r.order, i), math.Max(r.most, l)
		}
	}
	slices.SortFunc(r.order, func(i, j int) int {
		return cmp.Or(cmp.Compare(r.axis(solids[i].min), r.axis(solids[j].min)), cmp.Compare(i, j))
	})
	return r
}

// longestAxis reads the coordinate over which a box is longest.
func longestAxis(size geom.Point3) func(geom.Point3) float64 {
	switch {
	case size.X >= size.Y && size.X >= size.Z:
		return func(p geom.Point3) float64 { return p.X }
	case size.Y >= size.Z:
		return func(p geom.Point3) float64 { return p.Y }
	}
	return func(p geom.Point3) float64 { return p.Z }
}

// boxOf is the box round all panels with a place.
func boxOf(solids []solid) (lo, hi geom.Point3) {
	inf := math.Inf(1)
	lo, hi = geom.Point3{X: inf, Y: inf, Z: inf}, geom.Point3{X: -inf, Y: -inf, Z: -inf}
	for i := range solids {
		if o := &solids[i]; o.ok {
			lo, hi = lower(lo, o.min), upper(hi, o.max)
		}
	}
	return lo, hi
}

func lower(a, b geom.Point3) geom.Point3 {
	return geom.Point3{X: math.Min(a.X, b.X), Y: math.Min(a.Y, b.Y), Z: math.Min(a.Z, b.Z)}
}

func upper(a, b geom.Point3) geom.Point3 {
	return geom.Point3{X: math.Max(a.X, b.X), Y: math.Max(a.Y, b.Y), Z: math.Max(a.Z, b.Z)}
}

// near lists, in order of making, the panels whose boxes come within d of
// another's, itself left out.
func (s *shut) near(p *model.Panel, d float64) []int {
	o, r := s.of(p), &s.row
	from, to := r.axis(o.min)-d, r.axis(o.max)+d
	var out []int
	look := func(i int) {
		if q := &s.solids[i]; q != o && q.within(o, d) {
			out = append(out, i)
		}
	}
	for _, i := range r.long {
		look(i)
	}
	first, _ := slices.BinarySearchFunc(r.order, from-r.most, func(i int, v float64) int {
		return cmp.Compare(r.axis(s.solids[i].min), v)
	})
	for _, i := range r.order[first:] {
		if r.axis(s.solids[i].min) > to {
			break
		}
		look(i)
	}
	slices.Sort(out)
	return out
}

// within reports whether two boxes come within d of each other.
func (o *solid) within(q *solid, d float64) bool {
	return o.min.X-d <= q.max.X && q.min.X-d <= o.max.X &&
		o.min.Y-d <= q.max.Y && q.min.Y-d <= o.max.Y &&
		o.min.Z-d <= q.max.Z && q.min.Z-d <= o.max.Z
}
