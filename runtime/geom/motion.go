package geom

import "math"

// Isometry is a rigid motion of the plane, a mirror image included, in the order
// of an SVG matrix: x' = A·x + C·y + E and y' = B·x + D·y + F. The zero value
// is not a motion; start from Identity.
type Isometry struct{ A, B, C, D, E, F float64 }

// Identity leaves every point where it is.
func Identity() Isometry { return Isometry{A: 1, D: 1} }

// Translation moves by (dx, dy).
func Translation(dx, dy float64) Isometry { return Isometry{A: 1, D: 1, E: dx, F: dy} }

// Rotation turns by an angle, positive to the left, about a point.
func Rotation(angle Angle, about Point) Isometry {
	s, c := angle.SinCos()
	return Isometry{
		A: c, B: s, C: -s, D: c,
		E: about.X - float64(c*about.X) + float64(s*about.Y),
		F: about.Y - float64(s*about.X) - float64(c*about.Y),
	}
}

// FlipX negates x: a mirror in the y axis.
func FlipX() Isometry { return Isometry{A: -1, D: 1} }

// FlipY negates y: a mirror in the x axis.
func FlipY() Isometry { return Isometry{A: 1, D: -1} }

// Align is the motion, without mirroring, that takes point a with direction u
// to point b with direction v.
func Align(a, u, b, v Point) Isometry {
	u, v = u.Unit(), v.Unit()
	c, s := u.Dot(v), u.Cross(v)
	c, s = snapUnit(c), snapUnit(s)
	return Isometry{
		A: c, B: s, C: -s, D: c,
		E: b.X - float64(c*a.X) + float64(s*a.Y),
		F: b.Y - float64(s*a.X) - float64(c*a.Y),
	}
}

// unitSlack is how near a sine or cosine is to 0 or ±1 to be taken for it: some
// units in the last place of what unit vectors and their products are rounded to.
const unitSlack = 1e-15

// snapUnit makes a sine or cosine that is 0 or ±1 but for rounding exactly so, so
// that panels at right angles keep their coordinates through any number of hinges.
func snapUnit(v float64) float64 {
	for _, w := range [...]float64{0, 1, -1} {
		if math.Abs(v-w) < unitSlack {
			return w
		}
	}
	return v
}

// Then is the motion that does m first and n after it.
func (m Isometry) Then(n Isometry) Isometry {
	x, y := n.ApplyDir(Point{m.A, m.B}), n.ApplyDir(Point{m.C, m.D})
	o := n.Apply(Point{m.E, m.F})
	return Isometry{A: x.X, B: x.Y, C: y.X, D: y.Y, E: o.X, F: o.Y}
}

// Apply moves a place.
func (m Isometry) Apply(p Point) Point {
	return Point{
		float64(m.A*p.X) + float64(m.C*p.Y) + m.E,
		float64(m.B*p.X) + float64(m.D*p.Y) + m.F,
	}
}

// ApplyDir moves a displacement: the turn without the shift.
func (m Isometry) ApplyDir(p Point) Point {
	return Point{float64(m.A*p.X) + float64(m.C*p.Y), float64(m.B*p.X) + float64(m.D*p.Y)}
}

// Mirrors reports whether m turns the plane over.
func (m Isometry) Mirrors() bool { return Point{m.A, m.B}.Cross(Point{m.C, m.D}) < 0 }

// Inverse is the motion that undoes m; a rigid motion always has one.
func (m Isometry) Inverse() Isometry {
	// The transpose is the inverse of the turn, mirrored or not.
	return Isometry{
		A: m.A, B: m.C, C: m.B, D: m.D,
		E: -Point{m.A, m.B}.Dot(Point{m.E, m.F}),
		F: -Point{m.C, m.D}.Dot(Point{m.E, m.F}),
	}
}
