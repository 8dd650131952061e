package geom

import "math"

// Motion is a rigid motion of the plane, a mirror image included, in the order
// of an SVG matrix: x' = A·x + C·y + E and y' = B·x + D·y + F. The zero value
// is not a motion; start from Identity.
type Motion struct{ A, B, C, D, E, F float64 }

// Identity leaves every point where it is.
func Identity() Motion { return Motion{A: 1, D: 1} }

// Shift moves by (dx, dy).
func Shift(dx, dy float64) Motion { return Motion{A: 1, D: 1, E: dx, F: dy} }

// Turn turns by angle radians, positive to the left, about a point.
func Turn(angle float64, about Point) Motion {
	s, c := SinCos(angle)
	return Motion{
		A: c, B: s, C: -s, D: c,
		E: about.X - c*about.X + s*about.Y,
		F: about.Y - s*about.X - c*about.Y,
	}
}

// FlipX negates x: a mirror in the y axis.
func FlipX() Motion { return Motion{A: -1, D: 1} }

// FlipY negates y: a mirror in the x axis.
func FlipY() Motion { return Motion{A: 1, D: -1} }

// Carry is the motion, without mirroring, that takes point a with direction u
// to point b with direction v.
func Carry(a, u, b, v Point) Motion {
	u, v = u.Unit(), v.Unit()
	c, s := u.Dot(v), u.Cross(v)
	// A unit pair by construction, but for rounding: settle it, so that long
	// chains of hinges do not drift in scale.
	if h := math.Hypot(c, s); h > 0 {
		c, s = c/h, s/h
	}
	c, s = snapUnit(c), snapUnit(s)
	return Motion{
		A: c, B: s, C: -s, D: c,
		E: b.X - c*a.X + s*a.Y,
		F: b.Y - s*a.X - c*a.Y,
	}
}

// snapUnit makes a sine or cosine that is 0 or ±1 but for rounding exactly so.
func snapUnit(v float64) float64 {
	for _, w := range [...]float64{0, 1, -1} {
		if math.Abs(v-w) < 1e-15 {
			return w
		}
	}
	return v
}

// Then is the motion that does m first and n after it.
func (m Motion) Then(n Motion) Motion {
	return Motion{
		A: n.A*m.A + n.C*m.B, B: n.B*m.A + n.D*m.B,
		C: n.A*m.C + n.C*m.D, D: n.B*m.C + n.D*m.D,
		E: n.A*m.E + n.C*m.F + n.E, F: n.B*m.E + n.D*m.F + n.F,
	}
}

// Apply moves a place.
func (m Motion) Apply(p Point) Point {
	return Point{m.A*p.X + m.C*p.Y + m.E, m.B*p.X + m.D*p.Y + m.F}
}

// ApplyDir moves a displacement: the turn without the shift.
func (m Motion) ApplyDir(p Point) Point {
	return Point{m.A*p.X + m.C*p.Y, m.B*p.X + m.D*p.Y}
}

// Mirrors reports whether m turns the plane over.
func (m Motion) Mirrors() bool { return m.A*m.D-m.B*m.C < 0 }

// Inverse is the motion that undoes m; a rigid motion always has one.
func (m Motion) Inverse() Motion {
	// The transpose is the inverse of the turn, mirrored or not.
	return Motion{
		A: m.A, B: m.C, C: m.B, D: m.D,
		E: -(m.A*m.E + m.B*m.F),
		F: -(m.C*m.E + m.D*m.F),
	}
}
