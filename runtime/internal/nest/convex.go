package nest

import (
	"cmp"
	"slices"
)

func reverse(pts []vec) { slices.Reverse(pts) }

// sortedPoints is the points by x, then y, each once.
func sortedPoints(pts []vec) []vec {
	out := slices.Clone(pts)
	slices.SortFunc(out, func(a, b vec) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) })
	return slices.Compact(out)
}

// decompose cuts a polygon with holes into convex loops: ears are clipped off
// the outer loop, into which the holes were bridged (Meisters 1975; bridges as
// Eberly draws them), and triangles merged over diagonals that no reflex corner
// needs (Hertel and Mehlhorn 1983: at most four times the fewest). All exact. It
// reports false where the loops are no polygon: they cross, or the parts do not
// add up to its area.
func decompose(outer []vec, holes [][]vec) ([][]vec, bool) {
	want := area2(outer)
	for _, h := range holes {
		want += area2(h) // clockwise: negative
	}
	loop := slices.Clone(outer)
	// From the right, so that a bridge never leads over a hole still to come.
	order := slices.Clone(holes)
	slices.SortStableFunc(order, func(a, b []vec) int { return cmp.Compare(boundsOf(b).hi.x, boundsOf(a).hi.x) })
	for _, h := range order {
		var ok bool
		if loop, ok = bridged(loop, h); !ok {
			return nil, false
		}
	}
	triangles, ok := ears(loop)
	if !ok {
		return nil, false
	}
	for _, t := range triangles {
		want -= area2(t)
	}
	return merged(triangles), want == 0
}

// bridged is a loop with a hole joined to it by a cut, run there and back, from
// the hole's rightmost corner to a corner of the loop that it sees.
func bridged(loop, hole []vec) ([]vec, bool) {
	k := 0
	for i, p := range hole {
		if p.x > hole[k].x || p.x == hole[k].x && p.y < hole[k].y {
			k = i
		}
	}
	from := hole[k]
	best := -1
	for i, p := range loop {
		if best >= 0 && distance2(from, p) >= distance2(from, loop[best]) {
			continue
		}
		if inCone(loop, i, from) && clear(from, p, loop) && clear(from, p, hole) {
			best = i
		}
	}
	if best < 0 {
		return nil, false
	}
	out := append([]vec{}, loop[:best+1]...)
	out = append(append(out, hole[k:]...), hole[:k+1]...)
	return append(out, loop[best:]...), true
}

// distance2 is the squared distance of two points, in steps².
func distance2(a, b vec) float64 {
	dx, dy := float64(a.x-b.x), float64(a.y-b.y)
	return float64(dx*dx) + float64(dy*dy)
}

// inCone reports whether the way from corner i of a loop to p starts inside it: at a convex
// corner between both sides, at a reflex one not in the wedge that they leave out.
func inCone(loop []vec, i int, p vec) bool {
	n := len(loop)
	before, at, after := loop[(i+n-1)%n], loop[i], loop[(i+1)%n]
	if orient(before, at, after) >= 0 {
		return orient(at, p, before) > 0 && orient(p, at, after) > 0
	}
	return !(orient(at, p, after) >= 0 && orient(p, at, before) >= 0)
}

// clear reports whether a segment meets no side of a loop but at its own ends.
func clear(a, b vec, loop []vec) bool {
	prev := loop[len(loop)-1]
	for _, q := range loop {
		if prev != a && prev != b && q != a && q != b && meet(a, b, prev, q) {
			return false
		}
		if q != a && q != b && orient(a, b, q) == 0 && q.sub(a).dot(q.sub(b)) < 0 {
			return false // a corner on the way
		}
		prev = q
	}
	return true
}

// meet reports whether two segments share a point: they cross properly, or an end of one lies on
// the other.
func meet(a, b, c, d vec) bool {
	s1, s2 := sign(orient(a, b, c)), sign(orient(a, b, d))
	s3, s4 := sign(orient(c, d, a)), sign(orient(c, d, b))
	if s1*s2 < 0 && s3*s4 < 0 {
		return true
	}
	on := func(s int, p, q, r vec) bool { return s == 0 && r.sub(p).dot(r.sub(q)) <= 0 }
	return on(s1, a, b, c) || on(s2, a, b, d) || on(s3, c, d, a) || on(s4, c, d, b)
}

func sign(v int64) int { return cmp.Compare(v, 0) }

// ears triangulates a loop, which may touch itself along bridges. Of the ears
// there are, the one with the shortest cut goes first, so that parts stay compact.
func ears(loop []vec) ([][]vec, bool) {
	rest := slices.Clone(loop)
	var out [][]vec
	for len(rest) > 3 {
		n := len(rest)
		best, short := -1, 0.0
		for i := range rest {
			a, b, c := rest[(i+n-1)%n], rest[i], rest[(i+1)%n]
			turn := orient(a, b, c)
			if turn == 0 && (a == c || b.sub(a).dot(c.sub(b)) < 0 || a == b || b == c) {
				best = i // a spike of no width
				break
			}
			if d := distance2(a, c); turn > 0 && (best < 0 || d < short) && earAt(rest, i) {
				best, short = i, d
			}
		}
		if best < 0 {
			return nil, false
		}
		if t := []vec{rest[(best+n-1)%n], rest[best], rest[(best+1)%n]}; area2(t) > 0 {
			out = append(out, t)
		}
		rest = slices.Delete(rest, best, best+1)
	}
	if len(rest) == 3 && area2(rest) > 0 {
		out = append(out, rest)
	}
	return out, true
}

// earAt reports whether no other corner lies in the triangle at corner i, its
// new side included. Along bridges a corner stands twice in the loop: a copy of an end of the new side is
// in the way only if the loop there turns into the triangle.
func earAt(loop []vec, i int) bool {
	n := len(loop)
	a, b, c := loop[(i+n-1)%n], loop[i], loop[(i+1)%n]
	for k, p := range loop {
		if p == a || p == b || p == c {
			// A copy of an end of the new side, at a bridge: the side must start inside there too.
			if p == a && k != (i+n-1)%n && !inCone(loop, k, c) && strictlyIn(a, b, c, loop[(k+1)%n], loop[(k+n-1)%n]) ||
				p == c && k != (i+1)%n && !inCone(loop, k, a) && strictlyIn(a, b, c, loop[(k+1)%n], loop[(k+n-1)%n]) {
				return false
			}
			continue
		}
		if orient(a, b, p) >= 0 && orient(b, c, p) >= 0 && orient(c, a, p) >= 0 {
			return false
		}
	}
	return true
}

// strictlyIn reports whether either point lies inside a triangle.
func strictlyIn(a, b, c vec, points ...vec) bool {
	for _, p := range points {
		if orient(a, b, p) > 0 && orient(b, c, p) > 0 && orient(c, a, p) > 0 {
			return true
		}
	}
	return false
}

// merged joins convex loops over sides that they share, longest side first, as
// long as they stay convex. A side that is needed stays needed: corners only grow.
func merged(parts [][]vec) [][]vec {
	type way struct{ from, to vec }
	parts = slices.Clone(parts)
	owner := map[way]int{}
	var shared []way
	for i, p := range parts {
		for k, a := range p {
			w := way{a, p[(k+1)%len(p)]}
			owner[w] = i
			if _, ok := owner[way{w.to, w.from}]; ok {
				shared = append(shared, w)
			}
		}
	}
	slices.SortStableFunc(shared, func(u, v way) int {
		return cmp.Compare(distance2(v.from, v.to), distance2(u.from, u.to))
	})
	for _, w := range shared {
		i, j := owner[w], owner[way{w.to, w.from}]
		if i == j {
			continue
		}
		u := union(parts[i], parts[j], w.from, w.to)
		if u == nil {
			continue
		}
		parts[i], parts[j] = u, nil
		for k, a := range u {
			owner[way{a, u[(k+1)%len(u)]}] = i
		}
	}
	out := parts[:0]
	for _, p := range parts {
		if p != nil {
			out = append(out, tidy(p))
		}
	}
	return out
}

// union is two convex loops as one over their shared side, which runs from p to q
// on a; nil where the result is not convex.
func union(a, b []vec, p, q vec) []vec {
	i, j := sideFrom(a, p, q), sideFrom(b, q, p)
	if i < 0 || j < 0 {
		return nil
	}
	out := make([]vec, 0, len(a)+len(b)-2)
	for k := 1; k <= len(a); k++ { // from q round to p
		out = append(out, a[(i+k)%len(a)])
	}
	for k := 2; k < len(b); k++ { // from after p to before q
		out = append(out, b[(j+k)%len(b)])
	}
	for k := range out {
		if orient(out[k], out[(k+1)%len(out)], out[(k+2)%len(out)]) < 0 {
			return nil
		}
	}
	return out
}

// sideFrom is the number of the side of a loop that runs from p to q, or −1.
func sideFrom(loop []vec, p, q vec) int {
	for i, v := range loop {
		if v == p && loop[(i+1)%len(loop)] == q {
			return i
		}
	}
	return -1
}

// sum is the Minkowski sum of two convex counter-clockwise loops: their sides
// merged by direction, in O(m + n). It begins at the sum of both lowest corners, of such the ones furthest
// left, from where directions run through a whole turn in either loop; sides of one direction become one.
func sum(a, b []vec) []vec {
	i, j := lowest(a), lowest(b)
	out := make([]vec, 0, len(a)+len(b))
	at := a[i].add(b[j])
	for m, n := 0, 0; m < len(a) || n < len(b); {
		out = append(out, at)
		ea, eb := a[(i+1)%len(a)].sub(a[i]), b[(j+1)%len(b)].sub(b[j])
		turn := ea.cross(eb)
		switch {
		case m == len(a):
			turn = -1
		case n == len(b):
			turn = 1
		}
		if turn >= 0 {
			at, i, m = at.add(ea), (i+1)%len(a), m+1
		}
		if turn <= 0 {
			at, j, n = at.add(eb), (j+1)%len(b), n+1
		}
	}
	return out
}

// lowest is the number of the first corner in the order of vec.before.
func lowest(loop []vec) int {
	k := 0
	for i, p := range loop {
		if p.before(loop[k]) {
			k = i
		}
	}
	return k
}

// insideLoop reports whether p lies strictly inside a convex loop: left of every side. It is
// orient written out, for this is asked most of all.
func insideLoop(loop []vec, p vec) bool {
	prev := loop[len(loop)-1]
	for _, q := range loop {
		if (q.x-prev.x)*(p.y-prev.y)-(q.y-prev.y)*(p.x-prev.x) <= 0 {
			return false
		}
		prev = q
	}
	return true
}
