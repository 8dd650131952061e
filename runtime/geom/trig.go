package geom

import "math"

// The trigonometric functions of package math differ in the last bit between
// processors: some fuse multiplication and addition in them, some have code of
// their own. Outlines would differ with them, and so now and then a decision.
// The ones here use nothing but operations that IEEE 754 rounds one way, with
// every product rounded before it is summed, and so give the same bits
// everywhere; a test holds them to three units in the last place of the library's.

// π/2 in three parts (Cody and Waite, Software Manual for the Elementary
// Functions, 1980): the first two have 33 significant bits, so that a whole
// number below 2^20 times either is exact.
const (
	halfPi1 = 1.5707963267341256
	halfPi2 = 6.077100506303966e-11
	halfPi3 = 2.0222662487959506e-21

	// mostReduced is up to which angle quarter turns are taken off by those
	// parts; larger ones, which nobody draws, lose whole turns first.
	mostReduced = 1e6
)

// Coefficients of the Taylor series of sin r beyond r and of cos r beyond
// 1 − r²/2, in r², highest first. For |r| ≤ π/4 the first term left out is
// below 1e-19.
var (
	sinSeries = [...]float64{1.0 / 355687428096000, -1.0 / 1307674368000, 1.0 / 6227020800, -1.0 / 39916800, 1.0 / 362880, -1.0 / 5040, 1.0 / 120, -1.0 / 6}
	cosSeries = [...]float64{1.0 / 20922789888000, -1.0 / 87178291200, 1.0 / 479001600, -1.0 / 3628800, 1.0 / 40320, -1.0 / 720, 1.0 / 24}
)

// atanSeries holds the coefficients of atan z beyond z, in z², highest first.
// For |z| ≤ 1/16 the first term left out is below 1e-18 of z.
var atanSeries = [...]float64{-1.0 / 15, 1.0 / 13, -1.0 / 11, 1.0 / 9, -1.0 / 7, 1.0 / 5, -1.0 / 3}

// atanEighths holds atan(k/8) as a float64 and what that leaves of it.
var atanEighths = [...][2]float64{
	{0, 0},
	{0.12435499454676144, -3.1253241424539383e-18},
	{0.24497866312686414, 1.0698755618734451e-17},
	{0.35877067027057225, -2.4623815582638635e-17},
	{0.4636476090008061, 2.2698777452961687e-17},
	{0.5585993153435624, -5.4556305485916264e-18},
	{0.6435011087932844, 1.5834785051444286e-17},
	{0.7188299996216245, -2.1478388444456983e-17},
	{0.7853981633974483, 3.061616997868383e-17},
}

// horner evaluates a polynomial at x, coefficients highest first.
func horner(coefficients []float64, x float64) float64 {
	sum := 0.0
	for _, c := range coefficients {
		sum = float64(sum*x) + c
	}
	return sum
}

// sinCos is the sine and cosine of a radians. With n the nearest number of quarter
// turns, r = a − n·π/2 lies within π/4 of 0, the series give its sine and cosine,
// and n modulo 4 which of the two is which and with what sign. The subtraction of
// the first two parts of π/2 is exact but for cancellation, so r is good to about
// 1e-17 for angles up to mostReduced.
func sinCos(a float64) (sin, cos float64) {
	if !(math.Abs(a) <= mostReduced) {
		a = math.Mod(a, 2*math.Pi) // NaN for what is no ordinary number
	}
	n := math.Round(a * (2 / math.Pi))
	r := a - float64(n*halfPi1) - float64(n*halfPi2) - float64(n*halfPi3)
	z := float64(r * r)
	sin = r + float64(r*float64(z*horner(sinSeries[:], z)))
	half := float64(z / 2)
	cos = 1 - half
	// 1 − cos − half is what rounding took off; the series puts it back.
	cos += (1 - cos - half) + float64(float64(z*z)*horner(cosSeries[:], z))
	switch int64(n) & 3 {
	case 1:
		return cos, -sin
	case 2:
		return -sin, -cos
	case 3:
		return -cos, sin
	}
	return sin, cos
}

// atan2 is the angle of (x, y) from +x, in [−π, π], with the signs of zeros told
// apart as math.Atan2 does. The arc tangent of the smaller over the larger
// coordinate is taken from π/2, and that from π, as the octant asks; both constants
// and all sums are kept in two parts, the second being what rounding takes off
// the first, so that the result has one rounding more than the quotient.
func atan2(y, x float64) float64 {
	const restOfHalfPi, restOfPi = 6.123233995736766e-17, 1.2246467991473532e-16
	ax, ay := math.Abs(x), math.Abs(y)
	switch low, high := min(ax, ay), max(ax, ay); {
	case high == 0 || math.IsInf(high, 1) || math.IsNaN(high):
		return math.Atan2(y, x) // a quarter turn's multiple, or NaN
	default:
		hi, lo := atanUnit(low / high)
		if ay > ax {
			hi, lo = math.Pi/2-hi, restOfHalfPi-lo+((math.Pi/2-(math.Pi/2-hi))-hi)
		}
		if x < 0 {
			hi, lo = math.Pi-hi, restOfPi-lo+((math.Pi-(math.Pi-hi))-hi)
		}
		return math.Copysign(hi+lo, y)
	}
}

// atanUnit is the arc tangent of t, 0 ≤ t ≤ 1, in two parts that sum to it:
// that of the nearest eighth k and, by the addition theorem, that of the rest,
// z = (t − k)/(1 + t·k).
func atanUnit(t float64) (hi, lo float64) {
	k := math.Round(t * 8)
	eighth := float64(k / 8)
	z := (t - eighth) / (1 + float64(t*eighth))
	zz := float64(z * z)
	part := z + float64(z*float64(zz*horner(atanSeries[:], zz)))
	base := atanEighths[int(k)]
	hi = base[0] + part
	return hi, (base[0] - hi) + part + base[1]
}

// Tan is the tangent of a.
func (a Angle) Tan() float64 {
	sin, cos := a.SinCos()
	return sin / cos
}

// Asin is the angle in [−90°, 90°] of which v is the sine, and NaN where |v| > 1.
func Asin(v float64) Angle { return Angle{atan2(v, math.Sqrt((1-v)*(1+v)))} }

// Acos is the angle in [0°, 180°] of which v is the cosine, and NaN where |v| > 1.
func Acos(v float64) Angle { return Angle{atan2(math.Sqrt((1-v)*(1+v)), v)} }
