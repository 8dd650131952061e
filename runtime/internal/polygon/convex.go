package polygon

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// straight is the sine of the turn under which a corner counts as none: over
// the largest size a script may give it strays less than geom.SnapTolerance.
const straight = 1e-8

// Hull is the convex hull of all points, counter-clockwise, without corners
// that lie on its sides (Andrew's monotone chain).
func Hull(loops [][]geom.Point) []geom.Point {
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

// turnsLeft reports whether sorted points turn left at b by more than straight:
// by tolerance, since a corner that turns less is to be left out. Where they turn
// back, along a side on which the sorting follows the last bits, b is the end of
// the side however straight the way there and back, and the exact sign decides.
func turnsLeft(a, b, c geom.Point) bool {
	u, v := b.Sub(a), c.Sub(b)
	if u.Dot(v) < 0 {
		return geom.Orient(a, b, c) > 0
	}
	return u.Cross(v) > straight*u.Len()*v.Len()
}

// Convex reports whether a counter-clockwise loop never turns right, by
// tolerance: turns of less than straight are none.
func Convex(loop []geom.Point) bool {
	n := len(loop)
	for i, p := range loop {
		q, r := loop[(i+1)%n], loop[(i+2)%n]
		u, v := q.Sub(p), r.Sub(q)
		if u.Cross(v) < -straight*u.Len()*v.Len() {
			return false
		}
	}
	return n > 2 && Area(loop) > 0
}

// Clip is the part of a convex loop inside another, both counter-clockwise
// (Sutherland and Hodgman, Reentrant polygon clipping, 1974: cut by one side
// after the other). It is empty when nothing is left, and may enclose next to
// nothing where the two only touch; see Solid.
func Clip(loop, by []geom.Point) []geom.Point {
	left := append(make([]geom.Point, 0, len(loop)+len(by)), loop...)
	spare := make([]geom.Point, 0, len(loop)+len(by))
	for i, p := range by {
		if len(left) < 3 {
			return nil
		}
		left, spare = clipSide(left, p, by[(i+1)%len(by)], spare[:0]), left
	}
	return left
}

// clipSide appends to out what lies left of the line from p to q.
func clipSide(loop []geom.Point, p, q geom.Point, out []geom.Point) []geom.Point {
	dir := q.Sub(p)
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

// Within reports whether every point lies in a convex counter-clockwise loop,
// or outside it by no more than tol beyond any one side. A loop shrunk to one
// spot holds nothing: it has no sides to be beyond.
func Within(points, loop []geom.Point, tol float64) bool {
	sides := 0
	for i, p := range loop {
		dir := loop[(i+1)%len(loop)].Sub(p)
		if dir == (geom.Point{}) {
			continue
		}
		sides++
		least := -tol * dir.Len()
		for _, q := range points {
			if dir.Cross(q.Sub(p)) < least {
				return false
			}
		}
	}
	return sides > 2
}

// Apart reports whether some side of a convex counter-clockwise loop has all
// points beyond it, or none behind it by more than tol. Sides no longer than tol
// are not asked: rounding turns them anyhow. Loops may lie apart without such a
// side on either.
func Apart(points, loop []geom.Point, tol float64) bool {
	for i, p := range loop {
		dir := loop[(i+1)%len(loop)].Sub(p)
		long := dir.Len()
		behind := func(q geom.Point) bool { return dir.Cross(q.Sub(p)) > tol*long }
		if long > tol && !slices.ContainsFunc(points, behind) {
			return true
		}
	}
	return len(loop) < 3
}
