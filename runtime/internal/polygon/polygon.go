// Package polygon computes with loops of points: areas, hulls, and one convex
// loop cut by another. It is for quick answers about pictures and contact;
// region keeps arcs and joins what nearly meets.
//
// A loop is closed and holds each corner once, board on its left. Loops with
// holes are several of them.
package polygon

import "github.com/creasewright/creasewright/runtime/geom"

// Area is the area inside a loop in mm², negative when it runs clockwise. It is
// reckoned from the first point, so that far-off loops lose no digits.
func Area(loop []geom.Point) float64 {
	sum := 0.0
	for i := 2; i < len(loop); i++ {
		sum += float64(loop[i-1].Sub(loop[0]).Cross(loop[i].Sub(loop[0])) / 2)
	}
	return sum
}

// Length is the length of a loop in mm.
func Length(loop []geom.Point) float64 {
	sum := 0.0
	for i, p := range loop {
		sum += p.Dist(loop[(i+1)%len(loop)])
	}
	return sum
}

// Solid reports whether a loop encloses more than a strip as wide as geom.SnapTolerance
// along it: half its length is that strip's length.
func Solid(loop []geom.Point) bool {
	return len(loop) > 2 && Area(loop) > geom.SnapTolerance*Length(loop)/2
}

// Holds reports whether loops, read even-odd, hold p: whether a ray from it
// along +x crosses their sides an odd number of times. Which sides it crosses is
// decided exactly (geom.RayCrossing), so only on a rim either answer may come.
func Holds(loops [][]geom.Point, p geom.Point) bool {
	in := false
	for _, loop := range loops {
		prev := loop[len(loop)-1]
		for _, q := range loop {
			in = in != (geom.RayCrossing(prev, q, p) != 0)
			prev = q
		}
	}
	return in
}

// OnRim reports whether p lies within reach mm of a side of the loops.
func OnRim(loops [][]geom.Point, p geom.Point, reach float64) bool {
	for _, loop := range loops {
		prev := loop[len(loop)-1]
		for _, q := range loop {
			side, to := q.Sub(prev), p.Sub(prev)
			long, off := side.Dot(side), side.Cross(to)
			if off*off <= reach*reach*long {
				// Near the side's line: how far beyond either end?
				t := min(max(to.Dot(side)/long, 0), 1)
				if prev.Lerp(q, t).Dist(p) <= reach {
					return true
				}
			}
			prev = q
		}
	}
	return false
}

// Centroid is the centre of the area inside a loop that encloses some.
func Centroid(loop []geom.Point) geom.Point {
	var sum geom.Point
	total := 0.0
	for i := 2; i < len(loop); i++ {
		u, v := loop[i-1].Sub(loop[0]), loop[i].Sub(loop[0])
		w := u.Cross(v)
		sum, total = sum.Add(u.Add(v).Mul(w/3)), total+w
	}
	return loop[0].Add(sum.Mul(1 / total))
}
