package geom

import "math"

// Angle is a plane angle, positive counter-clockwise, held in radians. It is a type
// of its own that does not convert to or from numbers, so every conversion names
// its unit: Degrees.Angle and Radians make one, the methods of those names read
// it. The zero value is no turn at all.
type Angle struct{ radians float64 }

// Abs is the turn without its sense.
func (d Degrees) Abs() Degrees { return Degrees(math.Abs(float64(d))) }

// Radians is the angle of r radians.
func Radians(r float64) Angle { return Angle{r} }

// Degrees is a plane angle as people write it, in degrees, which a script's 90
// keeps exactly. It is for what comes in and goes out; Angle is to compute with.
type Degrees float64

// Angle is the angle of d degrees.
func (d Degrees) Angle() Angle { return Angle{float64(d) * (math.Pi / 180)} }

// Radians gives a in radians.
func (a Angle) Radians() float64 { return a.radians }

// Degrees gives a in degrees.
func (a Angle) Degrees() Degrees { return Degrees(a.radians * (180 / math.Pi)) }

// Add gives a + b, not normalized.
func (a Angle) Add(b Angle) Angle { return Angle{a.radians + b.radians} }

// Sub gives a − b, not normalized.
func (a Angle) Sub(b Angle) Angle { return Angle{a.radians - b.radians} }

// Mul gives a scaled by k.
func (a Angle) Mul(k float64) Angle { return Angle{a.radians * k} }

// Neg is the same turn the other way.
func (a Angle) Neg() Angle { return Angle{-a.radians} }

// Abs is the turn without its sense.
func (a Angle) Abs() Angle { return Angle{math.Abs(a.radians)} }

// quarterSlack is by how much an angle, counted in quarter turns, may be off a
// whole number and still be one: 4 ulp, what converting from degrees and adding
// a few quarter turns can cost.
const quarterSlack = 1e-15

// SinCos gives sine and cosine, exact at quarter turns: a square corner must
// come out square however many turns led to it.
func (a Angle) SinCos() (sin, cos float64) {
	q := a.radians / (math.Pi / 2)
	n := math.Round(q)
	if math.Abs(q-n) <= quarterSlack*math.Max(1, math.Abs(n)) {
		switch int64(math.Mod(n, 4)+4) % 4 {
		case 0:
			return 0, 1
		case 1:
			return 1, 0
		case 2:
			return 0, -1
		default:
			return -1, 0
		}
	}
	return sinCos(a.radians)
}

// Normalize brings a into (−180°, 180°] by whole turns.
func (a Angle) Normalize() Angle {
	r := math.Mod(a.radians, 2*math.Pi)
	if r > math.Pi {
		r -= 2 * math.Pi
	} else if r <= -math.Pi {
		r += 2 * math.Pi
	}
	return Angle{r}
}

// String writes a in degrees, as messages show it.
func (a Angle) String() string { return Num(float64(a.Degrees())) + "°" }

// AngleBetween is the turn, in (−180°, 180°], that takes direction u to v.
func AngleBetween(u, v Point) Angle { return Angle{atan2(u.Cross(v), u.Dot(v))} }
