package geom

import (
	"fmt"
	"math"
)

// Kind tells the three sorts of curve apart.
type Kind uint8

// The sorts of curve.
const (
	Line Kind = iota
	Arc
	Cubic
)

func (k Kind) String() string { return [...]string{"line", "arc", "curve"}[k] }

// Curve is one directed piece of an outline: a straight line, a circular arc
// or a cubic Bézier curve, from P to Q. It is a plain value; make one with
// LineFrom, ArcFrom, ArcBetween, ArcThrough or CubicFrom.
//
// For an Arc, C is the centre, R the radius and Sweep the signed angle turned,
// positive to the left, at most a full turn. For a Cubic, C and D
// are the two control points. Parameters run from 0 at P to 1 at Q: by length
// on lines and arcs, by the Bézier parameter on cubics.
type Curve struct {
	Kind  Kind
	P, Q  Point
	C, D  Point
	R     float64
	Sweep Angle
}

// Tolerances of what makes an arc.
const (
	// halfSlack is by what share of itself half the chord may exceed the radius and
	// still be a half circle: the last bits of a radius given as half a diameter.
	halfSlack = 1e-9

	// flatArc is the share of a triangle's area in the squares of two of its sides
	// below which its corners lie on one line. The radius of a larger one is at
	// most some 1e11 of its sides.
	flatArc = 1e-12

	// leastSweep is the smallest turn, in radians, that an arc may be asked for
	// by: below it the centre is further off than 1e9 chords.
	leastSweep = 1e-9

	// halfTurn is how near, in radians, a sweep is to a half turn for the centre
	// to be the chord's middle exactly. A sweep of π − δ over a chord d has its
	// centre d·δ/4 from there, Tiny at the most for any size.
	halfTurn = 4 * Tiny / MaxSize
)

// LineFrom is the straight line from p to q.
func LineFrom(p, q Point) Curve { return Curve{Kind: Line, P: p, Q: q} }

// CubicFrom is the cubic Bézier curve from p to q with control points c and d.
func CubicFrom(p, c, d, q Point) Curve { return Curve{Kind: Cubic, P: p, Q: q, C: c, D: d} }

// ArcFrom is the arc that starts at p and turns by sweep about centre.
func ArcFrom(p, centre Point, sweep Angle) Curve {
	q := Rotation(sweep, centre).Apply(p)
	return Curve{Kind: Arc, P: p, Q: q, C: centre, R: p.Dist(centre), Sweep: sweep}
}

// ArcBetween is the arc from p to q about centre that turns by sweep; the
// caller vouches that the four agree. Use it where the ends are known exactly.
func ArcBetween(p, q, centre Point, sweep Angle) Curve {
	r := (p.Dist(centre) + q.Dist(centre)) / 2
	return Curve{Kind: Arc, P: p, Q: q, C: centre, R: r, Sweep: sweep}
}

// ArcRadius is the arc from p to q with a signed radius, positive turning
// left, of at most a half circle. A radius below half the chord is an error
// that says the least radius that reaches. The centre lies √(r² − (|pq|/2)²) off
// the chord's middle, and the sweep is 2·asin((|pq|/2)/r).
func ArcRadius(p, q Point, radius float64) (Curve, error) {
	chord := p.Dist(q)
	r := math.Abs(radius)
	if chord < Tiny {
		return Curve{}, fmt.Errorf("the arc ends where it starts")
	}
	half := chord / 2
	if r < half {
		// Allow the last bits: a half circle asked for by its diameter.
		if r < half*(1-halfSlack) {
			return Curve{}, fmt.Errorf("radius %s is too small for a chord of %s; at least %s reaches", Num(r), Num(chord), Num(half))
		}
		r = half
	}
	sweep := Asin(math.Min(1, half/r)).Mul(2)
	h := math.Sqrt(math.Max(0, float64(r*r)-float64(half*half)))
	if radius < 0 {
		sweep, h = sweep.Neg(), -h
	}
	centre := p.Lerp(q, 0.5).Add(q.Sub(p).Unit().Left().Mul(h))
	return Curve{Kind: Arc, P: p, Q: q, C: centre, R: r, Sweep: sweep}, nil
}

// ArcThrough is the arc from p to q that passes through m. Three points on one
// line are an error, by tolerance: see flatArc. The centre is the circumcentre
// of the triangle, in Cartesian coordinates from p:
// (b.Y·a² − a.Y·b², a.X·b² − b.X·a²)/2(a × b) for the vectors a and b to m and q.
func ArcThrough(p, m, q Point) (Curve, error) {
	a, b := m.Sub(p), q.Sub(p)
	d := 2 * a.Cross(b)
	if math.Abs(d) < flatArc*(a.Dot(a)+b.Dot(b)) {
		return Curve{}, fmt.Errorf("the three points of the arc lie on one line")
	}
	aa, bb := a.Dot(a), b.Dot(b)
	centre := p.Add(Point{(float64(b.Y*aa) - float64(a.Y*bb)) / d, (float64(a.X*bb) - float64(b.X*aa)) / d})
	// Positive d: m lies right of the chord's way round, so the arc turns left.
	sweep := math.Mod(q.Sub(centre).Angle().Radians()-p.Sub(centre).Angle().Radians()+4*math.Pi, 2*math.Pi)
	if d < 0 {
		sweep -= 2 * math.Pi
	}
	return ArcBetween(p, q, centre, Radians(sweep)), nil
}

// ArcSweep is the arc from p to q that turns by sweep, positive to the left,
// short of a full turn either way. The centre lies (|pq|/2)/tan(sweep/2) to the
// left of the chord's middle.
func ArcSweep(p, q Point, sweep Angle) (Curve, error) {
	chord := p.Dist(q)
	if chord < Tiny {
		return Curve{}, fmt.Errorf("the arc ends where it starts")
	}
	if s := sweep.Abs().Radians(); s < leastSweep || s >= 2*math.Pi {
		return Curve{}, fmt.Errorf("a sweep of %s degrees is not between 0 and 360", Num(float64(sweep.Degrees())))
	}
	h := chord / 2 / sweep.Mul(0.5).Tan()
	if math.Abs(sweep.Abs().Radians()-math.Pi) < halfTurn {
		h = 0
	}
	centre := p.Lerp(q, 0.5).Add(q.Sub(p).Unit().Left().Mul(h))
	return ArcBetween(p, q, centre, sweep), nil
}

// At is the point at parameter t; exactly P at 0 and Q at 1.
func (c Curve) At(t float64) Point {
	switch {
	case t == 0:
		return c.P
	case t == 1:
		return c.Q
	}
	switch c.Kind {
	case Arc:
		// P plus what the turn adds, so that a far-off centre costs no digits.
		d := c.P.Sub(c.C)
		half, _ := c.Sweep.Mul(t / 2).SinCos()
		sin, _ := c.Sweep.Mul(t).SinCos()
		return c.P.Add(d.Left().Mul(sin)).Sub(d.Mul(2 * half * half))
	case Cubic:
		s := 1 - t
		return c.P.Mul(s * s * s).Add(c.C.Mul(3 * s * s * t)).Add(c.D.Mul(3 * s * t * t)).Add(c.Q.Mul(t * t * t))
	}
	return c.P.Lerp(c.Q, t)
}

// Tangent is the unit direction of travel at parameter t. Where a cubic's
// control points fall together it is the limit from inside the curve.
func (c Curve) Tangent(t float64) Point {
	switch c.Kind {
	case Arc:
		d := c.At(t).Sub(c.C).Left().Unit()
		if c.Sweep.Radians() < 0 {
			d = d.Mul(-1)
		}
		return d
	case Cubic:
		return c.cubicTangent(t)
	}
	return c.Q.Sub(c.P).Unit()
}

func (c Curve) cubicTangent(t float64) Point {
	s := 1 - t
	d := c.C.Sub(c.P).Mul(s * s).Add(c.D.Sub(c.C).Mul(2 * s * t)).Add(c.Q.Sub(c.D).Mul(t * t))
	if d.Len() > Tiny {
		return d.Unit()
	}
	// First derivative vanishes: the second, then the third, gives the way.
	dd := c.P.Sub(c.C.Mul(2)).Add(c.D).Mul(s).Add(c.C.Sub(c.D.Mul(2)).Add(c.Q).Mul(t))
	if t > 0.5 {
		dd = dd.Mul(-1)
	}
	if dd.Len() > Tiny {
		return dd.Unit()
	}
	return c.Q.Sub(c.P).Unit()
}

// Reverse is the same piece of curve travelled the other way.
func (c Curve) Reverse() Curve {
	c.P, c.Q = c.Q, c.P
	switch c.Kind {
	case Arc:
		c.Sweep = c.Sweep.Neg()
	case Cubic:
		c.C, c.D = c.D, c.C
	}
	return c
}

// Transform places the curve by a rigid motion; a mirror image reverses an arc's
// sense and keeps its radius to the bit.
func (c Curve) Transform(m Isometry) Curve {
	c.P, c.Q = m.Apply(c.P), m.Apply(c.Q)
	if c.Kind != Line {
		c.C, c.D = m.Apply(c.C), m.Apply(c.D)
	}
	if c.Kind == Arc {
		c.D = Point{}
		if m.Mirrors() {
			c.Sweep = c.Sweep.Neg()
		}
	}
	return c
}

// Part is the piece between parameters a and b, 0 ≤ a < b ≤ 1, of the same
// kind as the whole. Its ends are At(a) and At(b) to the bit, so parts that follow each
// other share theirs; an arc's keeps centre and radius.
func (c Curve) Part(a, b float64) Curve {
	if a == 0 && b == 1 {
		return c
	}
	switch c.Kind {
	case Arc:
		c.P, c.Q, c.Sweep = c.At(a), c.At(b), c.Sweep.Mul(b-a)
		return c
	case Cubic:
		_, right := c.splitCubic(a)
		if b == 1 {
			return right
		}
		left, _ := right.splitCubic((b - a) / (1 - a))
		left.Q = c.At(b)
		return left
	}
	return LineFrom(c.At(a), c.At(b))
}

// Split cuts the curve at parameter t.
func (c Curve) Split(t float64) (Curve, Curve) { return c.Part(0, t), c.Part(t, 1) }

// splitCubic is de Casteljau's subdivision.
func (c Curve) splitCubic(t float64) (Curve, Curve) {
	ab, bc, cd := c.P.Lerp(c.C, t), c.C.Lerp(c.D, t), c.D.Lerp(c.Q, t)
	abc, bcd := ab.Lerp(bc, t), bc.Lerp(cd, t)
	m := c.At(t)
	return CubicFrom(c.P, ab, abc, m), CubicFrom(m, bcd, cd, c.Q)
}

// Length in mm is exact but for rounding for lines and arcs and good to about
// 1e-12 of itself for cubics.
func (c Curve) Length() float64 {
	switch c.Kind {
	case Arc:
		return c.R * c.Sweep.Abs().Radians()
	case Cubic:
		return c.cubicLength(0, 1)
	}
	return c.P.Dist(c.Q)
}

// Area is the curve's share in mm² of the enclosed area, ½∮(x dy − y dx): summed
// over a closed counter-clockwise path it gives the area inside. In closed form for
// all three kinds. A share by itself depends on where the origin is.
func (c Curve) Area() float64 { return float64(c.P.Cross(c.Q)/2) + c.segment() }

// segment is the area between the curve and its chord, positive where the
// curve bulges to the right of the chord.
func (c Curve) segment() float64 {
	switch c.Kind {
	case Arc:
		sin, _ := c.Sweep.SinCos()
		return c.R * c.R * (c.Sweep.Radians() - sin) / 2
	case Cubic:
		// The integral of B × B′ / 2, measured from P.
		b, d, q := c.C.Sub(c.P), c.D.Sub(c.P), c.Q.Sub(c.P)
		return (float64(3*b.Cross(d)) + float64(3*b.Cross(q)) + float64(6*d.Cross(q))) / 20
	}
	return 0
}
