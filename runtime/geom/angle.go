package geom

import "math"

// Degrees converts degrees to radians.
func Degrees(d float64) float64 { return d * (math.Pi / 180) }

// ToDegrees converts radians to degrees.
func ToDegrees(r float64) float64 { return r * (180 / math.Pi) }

// SinCos is math.Sincos, exact at quarter turns: a square corner must come
// out square however many turns led to it.
func SinCos(a float64) (sin, cos float64) {
	q := a / (math.Pi / 2)
	n := math.Round(q)
	// 4 ulp of the quotient: what converting from degrees and adding a few
	// quarter turns can cost.
	if math.Abs(q-n) <= 1e-15*math.Max(1, math.Abs(n)) {
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
	return math.Sincos(a)
}

// NormalAngle brings an angle into (−π, π].
func NormalAngle(a float64) float64 {
	a = math.Mod(a, 2*math.Pi)
	if a > math.Pi {
		a -= 2 * math.Pi
	} else if a <= -math.Pi {
		a += 2 * math.Pi
	}
	return a
}
