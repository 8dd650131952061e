package geom

import "math"

// Point is a place or a displacement in the plane, in millimetres, x to the
// right and y up.
type Point struct{ X, Y float64 }

// Pt is short for Point{x, y}.
func Pt(x, y float64) Point { return Point{x, y} }

// Add gives p + q.
func (p Point) Add(q Point) Point { return Point{p.X + q.X, p.Y + q.Y} }

// Sub gives p − q.
func (p Point) Sub(q Point) Point { return Point{p.X - q.X, p.Y - q.Y} }

// Mul gives p scaled by k.
func (p Point) Mul(k float64) Point { return Point{float64(p.X * k), float64(p.Y * k)} }

// Dot is the scalar product; 0 for perpendicular displacements.
//
// Here and wherever a product goes into a sum it is converted to float64 first:
// without that a compiler may fuse the two into one operation that rounds once,
// on processors that have it, and the last bit would depend on the machine.
func (p Point) Dot(q Point) float64 { return float64(p.X*q.X) + float64(p.Y*q.Y) }

// Cross is the z part of the vector product; positive when q lies to the left
// of p, and swapping the two flips its sign.
func (p Point) Cross(q Point) float64 { return float64(p.X*q.Y) - float64(p.Y*q.X) }

// Len is the Euclidean length. No size comes near where squares overflow, so
// there is no need of the slower math.Hypot.
func (p Point) Len() float64 { return math.Sqrt(p.Dot(p)) }

// Dist is the distance from p to q.
func (p Point) Dist(q Point) float64 { return p.Sub(q).Len() }

// Unit gives p scaled to length 1, and the zero point unchanged.
func (p Point) Unit() Point {
	l := p.Len()
	if l == 0 {
		return p
	}
	return Point{p.X / l, p.Y / l}
}

// Left is p turned a quarter turn to the left.
func (p Point) Left() Point { return Point{-p.Y, p.X} }

// Angle is the direction of p from +x, in (−180°, 180°].
func (p Point) Angle() Angle { return Angle{atan2(p.Y, p.X)} }

// Lerp is the point a fraction t of the way from p to q.
func (p Point) Lerp(q Point, t float64) Point {
	return Point{p.X + float64((q.X-p.X)*t), p.Y + float64((q.Y-p.Y)*t)}
}

// Finite reports whether both coordinates are ordinary numbers.
func (p Point) Finite() bool {
	return !math.IsNaN(p.X) && !math.IsInf(p.X, 0) && !math.IsNaN(p.Y) && !math.IsInf(p.Y, 0)
}

// Polar is the point at distance r in a direction, measured from +x, from the origin.
func Polar(r float64, direction Angle) Point {
	s, c := direction.SinCos()
	return Point{float64(r * c), float64(r * s)}
}
