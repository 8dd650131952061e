package geom

import (
	"math"
	"math/rand"
	"testing"
)

// Quarter turns are exact however they are arrived at.
func TestSinCosQuarters(t *testing.T) {
	for n := -12; n <= 12; n++ {
		wantSin := [...]float64{0, 1, 0, -1}[(n%4+4)%4]
		wantCos := [...]float64{1, 0, -1, 0}[(n%4+4)%4]
		var sum Angle
		for range max(n, -n) {
			sum = sum.Add(Radians(math.Copysign(math.Pi/2, float64(n))))
		}
		for _, a := range []Angle{Degrees(float64(90 * n)).Angle(), Radians(float64(n) * math.Pi / 2), Degrees(90).Angle().Mul(float64(n)), sum} {
			if s, c := a.SinCos(); s != wantSin || c != wantCos {
				t.Errorf("SinCos of %d quarters = %v, %v", n, s, c)
			}
		}
	}
}

// Elsewhere SinCos is the library's but for the last bits, however near a quarter turn: 1e-13 is
// some 60 times what rounding leaves there.
func TestSinCosElsewhere(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for i := range 1000 {
		a := 20 * r.NormFloat64()
		if i%2 == 1 {
			a = math.Round(a)*math.Pi/2*(1+1e-13) + 1e-13
		}
		s, c := Radians(a).SinCos()
		if ws, wc := math.Sincos(a); ulps(s, ws) > 3 || ulps(c, wc) > 3 {
			t.Errorf("SinCos of %v = %v, %v, want %v, %v", a, s, c, ws, wc)
		}
	}
}

// Normalize keeps the direction and lands in (−π, π].
func TestNormalize(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 1000 {
		a := Radians(50 * r.NormFloat64())
		n := a.Normalize()
		if n.Radians() <= -math.Pi || n.Radians() > math.Pi || Polar(1, a).Dist(Polar(1, n)) > 1e-13 {
			t.Errorf("%v normalized is %v", a, n)
		}
	}
	for _, half := range []float64{-math.Pi, math.Pi} {
		if Radians(half).Normalize().Radians() != math.Pi {
			t.Errorf("%v is not brought to π", half)
		}
	}
}

// Each unit reads what it wrote, and the two agree at half and quarter turns.
func TestAngleUnits(t *testing.T) {
	if Degrees(180).Angle().Radians() != math.Pi || Radians(math.Pi/2).Degrees() != 90 || Degrees(-30).Angle().String() != "-30°" {
		t.Error("half and quarter turns do not convert exactly")
	}
	r := rand.New(rand.NewSource(3))
	for range 1000 {
		d := 360 * r.NormFloat64()
		if back := Degrees(d).Angle().Degrees(); !near(float64(back), d, 1e-15*math.Abs(d)) {
			t.Errorf("%v degrees come back as %v", d, back)
		}
		if Radians(d).Radians() != d {
			t.Errorf("%v radians do not come back", d)
		}
	}
}

// AngleBetween turns the one direction into the other, and swapping the two
// turns it back.
func TestAngleBetween(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	for range 1000 {
		u, v := Pt(r.NormFloat64(), r.NormFloat64()), Pt(r.NormFloat64(), r.NormFloat64())
		a := AngleBetween(u, v)
		if Rotation(a, Point{}).ApplyDir(u).Unit().Dist(v.Unit()) > 1e-13 || AngleBetween(v, u) != a.Neg() {
			t.Errorf("from %v to %v: %v", u, v, a)
		}
	}
}
