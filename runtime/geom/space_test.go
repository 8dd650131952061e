package geom

import (
	"math"
	"math/rand"
	"testing"
)

func randomPoint3(r *rand.Rand, half float64) Point3 {
	return Point3{(2*r.Float64() - 1) * half, (2*r.Float64() - 1) * half, (2*r.Float64() - 1) * half}
}

func randomMotion3(r *rand.Rand) RigidTransform {
	return RotationAbout(randomPoint3(r, 50), randomPoint3(r, 1), Radians(2*math.Pi*r.Float64())).
		Then(RotationAbout(randomPoint3(r, 50), randomPoint3(r, 1), Radians(2*math.Pi*r.Float64())))
}

// The vector product is square to both factors, flips when they swap and is as
// long as the parallelogram is large.
func TestCross3(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 500 {
		p, q := randomPoint3(r, 10), randomPoint3(r, 10)
		c := p.Cross(q)
		if !near(c.Dot(p), 0, 1e-11) || !near(c.Dot(q), 0, 1e-11) || c.Add(q.Cross(p)).Len() > 1e-12 {
			t.Errorf("%v × %v = %v", p, q, c)
		}
		if want := p.Dot(p)*q.Dot(q) - p.Dot(q)*p.Dot(q); !near(c.Dot(c), want, 1e-9*(1+want)) {
			t.Errorf("|%v × %v|² = %g, want %g", p, q, c.Dot(c), want)
		}
		if !near(p.Unit().Len(), 1, 1e-14) || p.Lerp(q, 0.25).Dist(p.Mul(0.75).Add(q.Mul(0.25))) > 1e-13 {
			t.Errorf("unit or mixture of %v, %v is off", p, q)
		}
	}
	if (Point3{}).Unit() != (Point3{}) {
		t.Error("zero has a direction")
	}
}

// Products, inverses and distances of motions of space behave as in the plane.
func TestMotion3Laws(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 500 {
		m, n, p, q := randomMotion3(r), randomMotion3(r), randomPoint3(r, 100), randomPoint3(r, 100)
		if d := m.Then(n).Apply(p).Dist(n.Apply(m.Apply(p))); d > 1e-11 {
			t.Errorf("the product is %g off", d)
		}
		if d := m.Then(m.Inverse()).Apply(p).Dist(p); d > 1e-11 {
			t.Errorf("the inverse leaves %g", d)
		}
		if !near(m.Apply(p).Dist(m.Apply(q)), p.Dist(q), 1e-11) {
			t.Error("a distance changes")
		}
		if m.ApplyDir(Point3{Z: 1}) != m.Normal() {
			t.Error("the normal is not where z goes")
		}
	}
}

// A turn leaves its axis alone, adds up with others about it, and moves a point
// at distance d by 2·d·sin(angle/2).
func TestTurnAbout(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 500 {
		at, axis, p := randomPoint3(r, 50), randomPoint3(r, 1), randomPoint3(r, 50)
		a, b := 6*r.NormFloat64(), 6*r.NormFloat64()
		m := RotationAbout(at, axis, Radians(a))
		if on := at.Add(axis.Mul(20 * r.NormFloat64())); m.Apply(on).Dist(on) > 1e-11 {
			t.Error("the axis moves")
		}
		if d := m.Then(RotationAbout(at, axis, Radians(b))).Apply(p).Dist(RotationAbout(at, axis, Radians(a+b)).Apply(p)); d > 1e-11 {
			t.Errorf("two turns are %g off their sum", d)
		}
		u := axis.Unit()
		v := p.Sub(at)
		d := v.Sub(u.Mul(v.Dot(u))).Len()
		if got, want := m.Apply(p).Dist(p), 2*d*math.Abs(math.Sin(a/2)); !near(got, want, 1e-11) {
			t.Errorf("a point at %g turned by %g moves %g, want %g", d, a, got, want)
		}
	}
}

// The right-hand rule, exact at quarter turns.
func TestQuarterTurn3(t *testing.T) {
	x, y, z := Point3{X: 1}, Point3{Y: 1}, Point3{Z: 1}
	for _, c := range []struct{ axis, from, to Point3 }{{z, x, y}, {x, y, z}, {y, z, x}} {
		if got := RotationAbout(Point3{}, c.axis, Radians(math.Pi/2)).Apply(c.from); got != c.to {
			t.Errorf("a quarter turn about %v takes %v to %v", c.axis, c.from, got)
		}
	}
	if got := RotationAbout(Point3{X: 5}, y, Radians(math.Pi)).Apply(Point3{X: 7, Z: 1}); got.Dist(Point3{X: 3, Z: -1}) > 1e-15 {
		t.Errorf("a half turn about x = 5 takes (7, 0, 1) to %v", got)
	}
}

// Lifting into space keeps what a motion does to the plane, and stays a proper
// motion when it mirrors.
func TestLift(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	for range 200 {
		m, p := randomMotion(r), randomPoint(r, 100)
		s := m.Space()
		if got := s.Apply(p.Space()); got.Plane().Dist(m.Apply(p)) > 1e-12 || got.Z != 0 {
			t.Errorf("%v goes to %v in space and %v in the plane", p, got, m.Apply(p))
		}
		if (s.Normal().Z < 0) != m.Mirrors() || !near(det3(s), 1, 1e-13) {
			t.Errorf("%+v lifted is %+v", m, s)
		}
	}
}

func det3(m RigidTransform) float64 {
	row := func(i int) Point3 { return Point3{m.R[3*i], m.R[3*i+1], m.R[3*i+2]} }
	return row(0).Cross(row(1)).Dot(row(2))
}

// Settling makes a worn turn orthonormal again and stays close to it; a sound
// one it leaves alone.
func TestSettle(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for range 200 {
		m := randomMotion3(r)
		worn := m
		for i := range worn.R {
			worn.R[i] += 1e-6 * r.NormFloat64()
		}
		s := worn.Orthonormalize()
		back := s.Then(s.Inverse())
		for i, v := range Identity3().R {
			if !near(back.R[i], v, 1e-14) || !near(s.R[i], m.R[i], 2e-5) || !near(m.Orthonormalize().R[i], m.R[i], 1e-14) {
				t.Fatalf("%+v settles to %+v", worn, s)
			}
		}
		if s.T != m.T {
			t.Error("settling moves the shift")
		}
	}
}

// Laws: the motion in the plane takes every point where a motion without a tilt
// does, turned over or not; with a tilt of sine s about any line it takes the given
// point where that does, and one at a distance r within s²·r of there.
func TestInPlane(t *testing.T) {
	rng := rand.New(rand.NewSource(12))
	point := func() Point { return Pt(100*rng.NormFloat64(), 100*rng.NormFloat64()) }
	for range 500 {
		m := RotationAbout(point().Space(), Point3{Z: 1}, Radians(7*rng.Float64()))
		if rng.Intn(2) == 0 {
			m = RotationAbout(point().Space(), Point3{X: 1}, Degrees(180).Angle()).Then(m)
		}
		about, q := point(), point()
		if in := m.InPlane(about); in.Apply(q).Dist(m.Apply(q.Space()).Plane()) > 1e-9 {
			t.Fatalf("%v goes to %v, want %v", q, in.Apply(q), m.Apply(q.Space()))
		}
		s := 0.02 * rng.Float64()
		m = m.Then(RotationAbout(point().Space(), point().Space(), Asin(s)))
		in := m.InPlane(about)
		if in.Apply(about).Dist(m.Apply(about.Space()).Plane()) > 1e-9 {
			t.Fatalf("about %v: %v, want %v", about, in.Apply(about), m.Apply(about.Space()))
		}
		if off := in.Apply(q).Dist(m.Apply(q.Space()).Plane()); off > s*s*q.Dist(about)+1e-9 {
			t.Fatalf("tilted by %g, %v is off by %g", s, q, off)
		}
	}
}
