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
		sum := 0.0
		for range max(n, -n) {
			sum += math.Copysign(math.Pi/2, float64(n))
		}
		for _, a := range []float64{Degrees(float64(90 * n)), float64(n) * math.Pi / 2, sum} {
			if s, c := SinCos(a); s != wantSin || c != wantCos {
				t.Errorf("SinCos(%d quarters) = %v, %v", n, s, c)
			}
		}
	}
}

// Elsewhere SinCos is the library's.
func TestSinCosElsewhere(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 1000 {
		a := 20 * r.NormFloat64()
		s, c := SinCos(a)
		if ws, wc := math.Sincos(a); !near(s, ws, 1e-15) || !near(c, wc, 1e-15) {
			t.Errorf("SinCos(%v) = %v, %v", a, s, c)
		}
	}
}

// NormalAngle keeps the direction and lands in (−π, π].
func TestNormalAngle(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 1000 {
		a := 50 * r.NormFloat64()
		n := NormalAngle(a)
		if n <= -math.Pi || n > math.Pi || Polar(1, a).Dist(Polar(1, n)) > 1e-13 {
			t.Errorf("NormalAngle(%v) = %v", a, n)
		}
	}
	if NormalAngle(-math.Pi) != math.Pi {
		t.Error("−π is not brought to π")
	}
}

func TestDegrees(t *testing.T) {
	if Degrees(180) != math.Pi || ToDegrees(math.Pi/2) != 90 {
		t.Error("half and quarter turns do not convert exactly")
	}
}
