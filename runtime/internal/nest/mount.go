package nest

import "math"

// halfLength is a parallelogram inscribed in a convex loop, two of whose sides are
// half as long as the longest chord in their direction, one on either side of it.
// The double lattice that half turns about its corners make of the loop has
// 4 · its area for two copies (Kuperberg and Kuperberg 1990); the smallest gives the
// densest double lattice (Mount 1991).
type halfLength struct {
	a, b, c, d [2]float64 // a–b below the chord, d–c above it, both along it
	area       float64
}

// halfLengthAt is the parallelogram along a direction, in steps.
func halfLengthAt(loop []vec, dx, dy float64) halfLength {
	n := math.Hypot(dx, dy)
	dx, dy = dx/n, dy/n
	along := func(v vec) float64 { return float64(float64(v.x)*dx) + float64(float64(v.y)*dy) }
	across := func(v vec) float64 { return float64(float64(v.y)*dx) - float64(float64(v.x)*dy) }
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range loop {
		lo, hi = min(lo, across(v)), max(hi, across(v))
	}
	chord := func(h float64) (from, to float64) {
		from, to = math.Inf(1), math.Inf(-1)
		for i, p := range loop {
			q := loop[(i+1)%len(loop)]
			hp, hq := across(p), across(q)
			if min(hp, hq) > h || max(hp, hq) < h {
				continue
			}
			if hp == hq {
				from, to = min(from, along(p), along(q)), max(to, along(p), along(q))
				continue
			}
			s := along(p) + (along(q)-along(p))*((h-hp)/(hq-hp))
			from, to = min(from, s), max(to, s)
		}
		return from, to
	}
	length := func(h float64) float64 {
		from, to := chord(h)
		return max(to-from, 0)
	}
	// The chord's length is concave in h; its greatest value is at a corner.
	mid, long := lo, 0.0
	for _, v := range loop {
		if l := length(across(v)); l > long {
			mid, long = across(v), l
		}
	}
	find := func(end float64) float64 { // where it is half as long, from mid towards end
		a, b := mid, end
		if length(end) >= long/2 {
			return end
		}
		for range 60 {
			m := (a + b) / 2
			if length(m) >= long/2 {
				a = m
			} else {
				b = m
			}
		}
		return a
	}
	below, above := find(lo), find(hi)
	back := func(s, h float64) [2]float64 { return [2]float64{s*dx - h*dy, s*dy + h*dx} }
	b0, _ := chord(below)
	a0, _ := chord(above)
	half := long / 2
	return halfLength{back(b0, below), back(b0+half, below), back(a0+half, above), back(a0, above), half * (above - below)}
}

// directions is how many directions are looked at for the smallest parallelogram,
// beside those of the loop's sides.
const directions = 360

// smallestHalfLength is the smallest parallelogram that is found.
func smallestHalfLength(loop []vec) halfLength {
	best := halfLength{area: math.Inf(1)}
	look := func(dx, dy float64) {
		if h := halfLengthAt(loop, dx, dy); h.area < best.area {
			best = h
		}
	}
	for i, p := range loop {
		d := loop[(i+1)%len(loop)].sub(p)
		look(float64(d.x), float64(d.y))
	}
	for i := range directions {
		// Evenly in the tangent over each eighth, without trigonometry.
		t := float64(i%(directions/4))/(directions/8) - 1
		if i < directions/4 || i >= directions/2 && i < 3*directions/4 {
			look(1, t)
		} else {
			look(t, 1)
		}
	}
	return best
}

// slack is by how many steps copies of a double lattice are moved apart, so that
// rounding to the grid makes none meet.
const slack = 2

// doubleLattice is the densest double lattice of a convex loop: copies at every
// k·u + l·v, and half turns about the origin at c more.
func doubleLattice(loop []vec) (u, v, c vec) {
	h := smallestHalfLength(loop)
	dx, dy := h.b[0]-h.a[0], h.b[1]-h.a[1]
	n := math.Hypot(dx, dy)
	dx, dy = dx/n, dy/n
	at := func(x, y, along, across float64) vec {
		return vec{int64(math.Round(x + along*dx - across*dy)), int64(math.Round(y + along*dy + across*dx))}
	}
	u = at(2*(h.b[0]-h.a[0]), 2*(h.b[1]-h.a[1]), 2*slack, 0)
	v = at(2*(h.d[0]-h.a[0]), 2*(h.d[1]-h.a[1]), 0, 2*slack)
	c = at(2*h.a[0], 2*h.a[1], -slack, -slack)
	return u, v, c
}
