package contact

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// straight is the sine of the turn under which a corner counts as none: over
// the largest size a script may give it strays less than a weld.
const straight = 1e-8

// hull is the convex hull of all points, counter-clockwise, without corners
// that lie on its sides (Andrew's monotone chain).
func hull(loops [][]geom.Point) []geom.Point {
	pts := slices.Concat(loops...)
	slices.SortFunc(pts, func(a, b geom.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	pts = slices.Compact(pts)
	if len(pts) < 3 {
		return pts
	}
	lower := chain(pts)
	slices.Reverse(pts)
	upper := chain(pts)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

// chain is the part of the hull that turns left along sorted points.
func chain(pts []geom.Point) []geom.Point {
	var out []geom.Point
	for _, p := range pts {
		for n := len(out); n > 1 && !turnsLeft(out[n-2], out[n-1], p); n-- {
			out = out[:n-1]
		}
		out = append(out, p)
	}
	return out
}

func turnsLeft(a, b, c geom.Point) bool {
	u, v := b.Sub(a), c.Sub(b)
	return u.Cross(v) > straight*u.Len()*v.Len()
}

// convex reports whether a counter-clockwise loop never turns right.
func convex(loop []geom.Point) bool {
	n := len(loop)
	for i, p := range loop {
		q, r := loop[(i+1)%n], loop[(i+2)%n]
		u, v := q.Sub(p), r.Sub(q)
		if u.Cross(v) < -straight*u.Len()*v.Len() {
			return false
		}
	}
	return n > 2 && area(loop) > 0
}

// area is the area inside a loop, negative when it runs clockwise. It is
// reckoned from the first point, so that far-off loops lose no digits.
func area(loop []geom.Point) float64 {
	sum := 0.0
	for i := 2; i < len(loop); i++ {
		sum += loop[i-1].Sub(loop[0]).Cross(loop[i].Sub(loop[0])) / 2
	}
	return sum
}

// perimeter is the length of a loop.
func perimeter(loop []geom.Point) float64 {
	sum := 0.0
	for i, p := range loop {
		sum += p.Dist(loop[(i+1)%len(loop)])
	}
	return sum
}

// solid reports whether a loop encloses more than a strip as wide as a weld
// along it: half its length is that strip's length.
func solid(loop []geom.Point) bool {
	return len(loop) > 2 && area(loop) > geom.Weld*perimeter(loop)/2
}

// inside reports whether loops, even and odd, hold p; on a rim either answer
// may come.
func inside(loops [][]geom.Point, p geom.Point) bool {
	in := false
	for _, loop := range loops {
		prev := loop[len(loop)-1]
		for _, q := range loop {
			if (prev.Y > p.Y) != (q.Y > p.Y) && p.X < prev.X+(p.Y-prev.Y)*(q.X-prev.X)/(q.Y-prev.Y) {
				in = !in
			}
			prev = q
		}
	}
	return in
}
