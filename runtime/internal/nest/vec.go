package nest

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// perMM is how many steps of the package's grid make one millimetre: as many as
// cut files have, so that what is laid exactly here is written exactly.
const perMM = 10000

// maxReach bounds coordinates, in steps of the grid (20 m): cross products of
// differences then stay below 2⁶³.
const maxReach = 2e8

// vec is a point or a vector on the grid. Sums, turns by quarters and the signs
// of cross products are exact.
type vec struct{ x, y int64 }

// grid is the point of the grid nearest to p, mm.
func grid(p geom.Point) vec {
	return vec{int64(math.Round(p.X * perMM)), int64(math.Round(p.Y * perMM))}
}

// point is v in millimetres.
func (v vec) point() geom.Point { return geom.Point{X: float64(v.x) / perMM, Y: float64(v.y) / perMM} }

func (v vec) add(w vec) vec     { return vec{v.x + w.x, v.y + w.y} }
func (v vec) sub(w vec) vec     { return vec{v.x - w.x, v.y - w.y} }
func (v vec) neg() vec          { return vec{-v.x, -v.y} }
func (v vec) mul(k int64) vec   { return vec{k * v.x, k * v.y} }
func (v vec) cross(w vec) int64 { return v.x*w.y - v.y*w.x }
func (v vec) dot(w vec) int64   { return v.x*w.x + v.y*w.y }
func (v vec) length() float64 {
	return math.Sqrt(float64(v.x)*float64(v.x) + float64(v.y)*float64(v.y))
}
func (v vec) before(w vec) bool { return v.y < w.y || v.y == w.y && v.x < w.x }
func orient(a, b, c vec) int64  { return b.sub(a).cross(c.sub(a)) }
func (v vec) within(b bounds) bool {
	return v.x >= b.lo.x && v.x <= b.hi.x && v.y >= b.lo.y && v.y <= b.hi.y
}

// turned is v turned by so many quarters counter-clockwise about the origin.
func (v vec) turned(quarters int) vec {
	switch quarters & 3 {
	case 1:
		return vec{-v.y, v.x}
	case 2:
		return vec{-v.x, -v.y}
	case 3:
		return vec{v.y, -v.x}
	}
	return v
}

// bounds is an upright box, its rim part of it; one with hi below lo holds nothing.
type bounds struct{ lo, hi vec }

func nothing() bounds {
	return bounds{vec{math.MaxInt64, math.MaxInt64}, vec{math.MinInt64, math.MinInt64}}
}

func (b bounds) with(p vec) bounds {
	return bounds{vec{min(b.lo.x, p.x), min(b.lo.y, p.y)}, vec{max(b.hi.x, p.x), max(b.hi.y, p.y)}}
}

func (b bounds) empty() bool { return b.hi.x < b.lo.x || b.hi.y < b.lo.y }

// overlaps reports whether the insides of two boxes meet.
func (b bounds) overlaps(c bounds) bool {
	return b.lo.x < c.hi.x && c.lo.x < b.hi.x && b.lo.y < c.hi.y && c.lo.y < b.hi.y
}

func (b bounds) shifted(v vec) bounds { return bounds{b.lo.add(v), b.hi.add(v)} }

func (b bounds) turned(quarters int) bounds {
	return nothing().with(b.lo.turned(quarters)).with(b.hi.turned(quarters))
}

// clamp is the point of the box nearest to p.
func (b bounds) clamp(p vec) vec {
	return vec{min(max(p.x, b.lo.x), b.hi.x), min(max(p.y, b.lo.y), b.hi.y)}
}

func boundsOf(loop []vec) bounds {
	b := nothing()
	for _, p := range loop {
		b = b.with(p)
	}
	return b
}

// area2 is twice the area inside a loop, exact, negative when it runs clockwise.
func area2(loop []vec) int64 {
	sum := int64(0)
	for i := 2; i < len(loop); i++ {
		sum += orient(loop[0], loop[i-1], loop[i])
	}
	return sum
}

// tidy drops corners of a loop that turn nowhere: repeated points, points on
// the way, and spikes of no width.
func tidy(loop []vec) []vec {
	out := make([]vec, 0, len(loop))
	for _, p := range loop {
		out = append(out, p)
		for n := len(out); n > 2 && orient(out[n-3], out[n-2], out[n-1]) == 0; n = len(out) {
			out[n-2] = out[n-1]
			out = out[:n-1]
		}
		if n := len(out); n > 1 && out[n-1] == out[n-2] {
			out = out[:n-1]
		}
	}
	for again := true; again && len(out) > 2; {
		again = false
		n := len(out)
		switch {
		case out[0] == out[n-1], orient(out[n-2], out[n-1], out[0]) == 0:
			out, again = out[:n-1], true
		case orient(out[n-1], out[0], out[1]) == 0:
			out, again = out[1:], true
		}
	}
	return out
}

// hull is the convex hull of points, counter-clockwise, with no corner on a side
// (Andrew's monotone chain), exact.
func hull(pts []vec) []vec {
	sorted := sortedPoints(pts)
	if len(sorted) < 3 {
		return sorted
	}
	half := func(pts []vec) []vec {
		var out []vec
		for _, p := range pts {
			for n := len(out); n > 1 && orient(out[n-2], out[n-1], p) <= 0; n-- {
				out = out[:n-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	lower := half(sorted)
	reverse(sorted)
	return append(lower, half(sorted)...)
}
