package contact

import "github.com/creasewright/creasewright/runtime/geom"

// clipConvex is the part of a convex loop inside another, both counter-
// clockwise (Sutherland and Hodgman's way: cut by one side after the other). It
// may come back with fewer than three points.
func clipConvex(loop, by []geom.Point) []geom.Point {
	for i, p := range by {
		if len(loop) < 3 {
			return nil
		}
		loop = clipSide(loop, p, by[(i+1)%len(by)])
	}
	return loop
}

// clipSide keeps what lies left of the line from p to q.
func clipSide(loop []geom.Point, p, q geom.Point) []geom.Point {
	dir := q.Sub(p)
	out := make([]geom.Point, 0, len(loop)+1)
	prev := loop[len(loop)-1]
	side := dir.Cross(prev.Sub(p))
	for _, r := range loop {
		next := dir.Cross(r.Sub(p))
		if (side < 0) != (next < 0) {
			out = append(out, prev.Lerp(r, side/(side-next)))
		}
		if next >= 0 {
			out = append(out, r)
		}
		prev, side = r, next
	}
	return out
}

// centroid is the centre of the area inside a loop that encloses some.
func centroid(loop []geom.Point) geom.Point {
	var sum geom.Point
	total := 0.0
	for i := 2; i < len(loop); i++ {
		u, v := loop[i-1].Sub(loop[0]), loop[i].Sub(loop[0])
		w := u.Cross(v)
		sum, total = sum.Add(u.Add(v).Mul(w/3)), total+w
	}
	return loop[0].Add(sum.Mul(1 / total))
}
