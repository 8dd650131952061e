package geom

import (
	"math"
	"math/rand"
	"testing"
)

// Doing one motion after another is doing their product; the inverse undoes;
// distances stay.
func TestMotionLaws(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 500 {
		m, n, p, q := randomMotion(r), randomMotion(r), randomPoint(r, 100), randomPoint(r, 100)
		if d := m.Then(n).Apply(p).Dist(n.Apply(m.Apply(p))); d > 1e-11 {
			t.Errorf("the product is %g off", d)
		}
		if d := m.Then(m.Inverse()).Apply(p).Dist(p); d > 1e-11 {
			t.Errorf("the inverse leaves %g", d)
		}
		if !near(m.Apply(p).Dist(m.Apply(q)), p.Dist(q), 1e-11) {
			t.Error("a distance changes")
		}
		if d := m.ApplyDir(q.Sub(p)).Dist(m.Apply(q).Sub(m.Apply(p))); d > 1e-11 {
			t.Errorf("a displacement is %g off", d)
		}
		if m.Then(n).Mirrors() != (m.Mirrors() != n.Mirrors()) {
			t.Error("two mirrors do not cancel")
		}
	}
}

// Four quarter turns about any point are exactly nothing but for the shift's
// rounding, and their turning part is exact.
func TestQuarterTurns(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 100 {
		m := Identity()
		for range 4 {
			m = m.Then(Rotation(Radians(math.Pi/2), randomPoint(r, 100)))
		}
		if m.A != 1 || m.B != 0 || m.C != 0 || m.D != 1 {
			t.Errorf("four quarter turns give %+v", m)
		}
	}
}

// Align takes the point and the direction where asked, without mirroring.
func TestCarry(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 500 {
		a, u, b, v := randomPoint(r, 100), randomPoint(r, 1), randomPoint(r, 100), randomPoint(r, 1)
		m := Align(a, u, b, v)
		if m.Apply(a).Dist(b) > 1e-11 || m.ApplyDir(u.Unit()).Dist(v.Unit()) > 1e-14 || m.Mirrors() {
			t.Errorf("Align(%v, %v, %v, %v) = %+v", a, u, b, v, m)
		}
	}
}

// Law: directions at quarter turns of each other, but for rounding, are carried by
// exact quarter turns, and a turn that is larger than rounding is not lost.
func TestCarryByQuarters(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for range 500 {
		u, quarter := Polar(1, Radians(6*r.Float64())), r.Intn(4)
		v := u
		for range quarter {
			v = v.Left()
		}
		v = Pt(math.Nextafter(v.X, 2), math.Nextafter(v.Y, -2))
		m := Align(Pt(1, 2), u, Pt(3, 4), v)
		s, c := Radians(float64(quarter) * math.Pi / 2).SinCos()
		if m.A != c || m.B != s || m.C != -s || m.D != c {
			t.Fatalf("%d quarters: %+v", quarter, m)
		}
	}
	if m := Align(Point{}, Pt(1, 0), Point{}, Pt(1, 3*unitSlack)); m.B != 3*unitSlack {
		t.Errorf("a turn of %v is carried as %v", 3*unitSlack, m.B)
	}
}

// A thousand hinges in a row do not change the scale.
func TestCarryDoesNotDrift(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	m := Identity()
	for range 1000 {
		m = m.Then(Align(randomPoint(r, 10), randomPoint(r, 1), randomPoint(r, 10), randomPoint(r, 1)))
	}
	if det := m.A*m.D - m.B*m.C; !near(det, 1, 1e-12) {
		t.Errorf("the scale has become %.15g", det)
	}
}

func TestMotionKinds(t *testing.T) {
	for _, c := range []struct {
		name string
		m    Isometry
		want Point
	}{
		{"identity", Identity(), Pt(3, 4)},
		{"shift", Translation(1, -2), Pt(4, 2)},
		{"turn", Rotation(Radians(math.Pi/2), Pt(1, 1)), Pt(-2, 3)},
		{"flip x", FlipX(), Pt(-3, 4)},
		{"flip y", FlipY(), Pt(3, -4)},
	} {
		if got := c.m.Apply(Pt(3, 4)); got.Dist(c.want) > 1e-15 {
			t.Errorf("%s takes (3, 4) to %v, want %v", c.name, got, c.want)
		}
	}
}
