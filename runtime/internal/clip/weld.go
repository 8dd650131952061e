package clip

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// near is how close to an edge, in millimetres, a vertex counts as lying on it:
// rounding moves either by up to 0.7 of a grid step.
const near = 2 * grid

// weld puts every vertex that lies on an edge of the other region, or of its
// own, into that edge, so that edges which run together share all vertices.
func weld(a, b [][]geom.Point) {
	var all []geom.Point
	for _, rings := range [...][][]geom.Point{a, b} {
		for _, r := range rings {
			all = append(all, r...)
		}
	}
	slices.SortFunc(all, func(p, q geom.Point) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	all = slices.Compact(all)
	for _, rings := range [...][][]geom.Point{a, b} {
		for i := range rings {
			rings[i] = insert(rings[i], all)
		}
	}
}

// insert adds to each edge of the ring those of the points, sorted by x, that
// lie on it.
func insert(ring, points []geom.Point) []geom.Point {
	var out []geom.Point
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		out = append(out, p)
		edge, box := geom.LineFrom(p, q), geom.BoxOf(p, q).Grow(near)
		first, _ := slices.BinarySearchFunc(points, box.Min.X, func(v geom.Point, x float64) int { return cmp.Compare(v.X, x) })
		var on []float64
		at := map[float64]geom.Point{}
		for _, v := range points[first:] {
			if v.X > box.Max.X {
				break
			}
			if v == p || v == q || !box.Contains(v) {
				continue
			}
			if t, d := edge.Nearest(v); d <= near && t > 0 && t < 1 {
				on = append(on, t)
				at[t] = v
			}
		}
		slices.Sort(on)
		for _, t := range slices.Compact(on) {
			out = append(out, at[t])
		}
	}
	return out
}
