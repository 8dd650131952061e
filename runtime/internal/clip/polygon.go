package clip

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// grid is what points are rounded to, in millimetres: far below what matters
// and coarse enough that edges meant to be one become one.
const grid = 1e-6

// Flatten turns rings of curves into polygons within tol of them.
func Flatten(rings [][]geom.Curve, tol float64) [][]geom.Point {
	var out [][]geom.Point
	for _, ring := range rings {
		var pts []geom.Point
		for _, c := range ring {
			pts = c.Flatten(pts, tol)
		}
		out = append(out, pts)
	}
	return out
}

// Area is the area that polygons cover, read even-odd, if their edges do not
// cross.
func Area(rings [][]geom.Point) float64 { return signed(orient(rings)) }

func signed(rings [][]geom.Point) float64 {
	sum := 0.0
	for _, r := range rings {
		sum += ringArea(r)
	}
	return sum
}

func ringArea(ring []geom.Point) float64 {
	sum := 0.0
	for i, p := range ring {
		// From the first point, so that rings far out lose no digits.
		sum += p.Sub(ring[0]).Cross(ring[(i+1)%len(ring)].Sub(ring[0]))
	}
	return sum / 2
}

func length(rings [][]geom.Point) float64 {
	sum := 0.0
	for _, r := range rings {
		for i, p := range r {
			sum += p.Dist(r[(i+1)%len(r)])
		}
	}
	return sum
}

// orient turns rings inside an even number of others counter-clockwise and the
// rest clockwise.
func orient(rings [][]geom.Point) [][]geom.Point {
	out := make([][]geom.Point, len(rings))
	for i, r := range rings {
		depth := 0
		for j, other := range rings {
			if i != j && within(r, other) {
				depth++
			}
		}
		out[i] = r
		if (ringArea(r) > 0) != (depth%2 == 0) {
			out[i] = reversed(r)
		}
	}
	return out
}

func reversed(ring []geom.Point) []geom.Point {
	out := make([]geom.Point, 0, len(ring))
	for i := range ring {
		out = append(out, ring[len(ring)-1-i])
	}
	return out
}

// within reports whether ring r lies inside another that it does not cross: by
// the majority of its edges' mid-points, as some may lie on the other's rim.
func within(r, other []geom.Point) bool {
	votes := 0
	for i, p := range r {
		if holds(other, p.Lerp(r[(i+1)%len(r)], 0.5)) {
			votes++
		} else {
			votes--
		}
	}
	return votes > 0
}

// holds counts the edges that a ray along +x crosses.
func holds(ring []geom.Point, q geom.Point) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > q.Y) != (b.Y > q.Y) && q.X < a.X+(b.X-a.X)*(q.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

// prepare rounds the points to the grid and drops what has no area left.
func prepare(rings [][]geom.Point) [][]geom.Point {
	var out [][]geom.Point
	for _, ring := range rings {
		var pts []geom.Point
		for _, p := range ring {
			pts = append(pts, geom.Pt(math.Round(p.X/grid)*grid, math.Round(p.Y/grid)*grid))
		}
		if pts = distinct(pts); len(pts) > 2 && math.Abs(ringArea(pts)) > grid {
			out = append(out, pts)
		}
	}
	return out
}

// distinct drops points that repeat the one before, the first after the last
// too.
func distinct(pts []geom.Point) []geom.Point {
	var out []geom.Point
	for i, p := range pts {
		if before := pts[(i+len(pts)-1)%len(pts)]; p != before {
			out = append(out, p)
		}
	}
	return out
}
