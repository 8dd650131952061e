package geom

import (
	"math"
	"math/rand"
	"testing"
)

// At and Tangent agree with the ends and with small steps along the curve.
func TestAtAndTangent(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		if c.At(0) != c.P || c.At(1) != c.Q {
			t.Fatalf("%+v does not begin and end at its ends", c)
		}
		if d := c.At(1 - 1e-12).Dist(c.Q); d > 1e-8 {
			t.Errorf("%+v jumps by %g at its end", c, d)
		}
		const h = 1e-6
		s := 0.1 + 0.8*r.Float64()
		step := c.At(s + h).Sub(c.At(s - h))
		if d := step.Unit().Dist(c.Tangent(s)); d > 1e-6 {
			t.Errorf("%+v: tangent at %g is %g off the way travelled", c, s, d)
		}
		d1, d2 := c.Derivatives(s)
		if step.Mul(1/(2*h)).Dist(d1) > 1e-4*(1+d1.Len()) {
			t.Errorf("%+v: velocity %v, measured %v", c, d1, step.Mul(1/(2*h)))
		}
		a, _ := c.Derivatives(s + h)
		b, _ := c.Derivatives(s - h)
		if a.Sub(b).Mul(1/(2*h)).Dist(d2) > 1e-4*(1+d2.Len()) {
			t.Errorf("%+v: acceleration %v, measured %v", c, d2, a.Sub(b).Mul(1/(2*h)))
		}
	})
}

// Where control points fall together the tangent is the limit from inside.
func TestTangentOfDegenerateCubics(t *testing.T) {
	p, c, q := Pt(0, 0), Pt(3, 4), Pt(10, 0)
	for _, x := range []struct {
		c    Curve
		t    float64
		want Point
	}{
		{CubicFrom(p, p, c, q), 0, Pt(0.6, 0.8)},
		{CubicFrom(q, c, p, p), 1, Pt(-0.6, -0.8)},
		{CubicFrom(p, p, q, q), 0, Pt(1, 0)},
		{CubicFrom(p, p, q, q), 1, Pt(1, 0)},
		{CubicFrom(p, p, p, q), 0, Pt(1, 0)},
		{CubicFrom(p, q, q, q), 1, Pt(1, 0)},
	} {
		if got := x.c.Tangent(x.t); got.Dist(x.want) > 1e-12 {
			t.Errorf("%+v at %g: tangent %v, want %v", x.c, x.t, got, x.want)
		}
	}
}

// Reversing keeps points and length and flips tangents and area.
func TestReverse(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		b, s := c.Reverse(), r.Float64()
		if b.Reverse() != c {
			t.Errorf("%+v reversed twice is %+v", c, b.Reverse())
		}
		if c.At(s).Dist(b.At(1-s)) > 1e-11 || c.Tangent(s).Add(b.Tangent(1-s)).Len() > 1e-9 {
			t.Errorf("%+v reversed lies elsewhere", c)
		}
		if !near(c.Length(), b.Length(), 1e-11*c.Length()) || !near(c.Area(), -b.Area(), 1e-9) {
			t.Errorf("%+v reversed: length %g, %g, area %g, %g", c, c.Length(), b.Length(), c.Area(), b.Area())
		}
	})
}

// A rigid motion keeps the kind, the length and the distance between any two
// points; a mirror image flips the sense of an arc and keeps its radius to the
// bit.
func TestMoveCurve(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		m := randomMotion(r)
		b, s, u := c.Transform(m), r.Float64(), r.Float64()
		if b.At(s).Dist(m.Apply(c.At(s))) > 1e-11 || !near(b.At(s).Dist(b.At(u)), c.At(s).Dist(c.At(u)), 1e-11) {
			t.Errorf("%+v moved lies elsewhere", c)
		}
		if b.Kind != c.Kind || b.R != c.R || !near(b.Length(), c.Length(), 1e-11*c.Length()) {
			t.Errorf("%+v moved is %+v", c, b)
		}
		if c.Kind == Arc && (b.Sweep.Radians() < 0) == (c.Sweep.Radians() < 0) == m.Mirrors() {
			t.Errorf("%+v mirrored %v turns by %g", c, m.Mirrors(), b.Sweep.Radians())
		}
	})
}

// The two parts of a split add up in length and area; a part of a part is a
// part of the whole.
func TestSplitAndPart(t *testing.T) {
	eachCurve(t, func(t *testing.T, r *rand.Rand, c Curve) {
		s := 0.05 + 0.9*r.Float64()
		a, b := c.Split(s)
		if a.Q != b.P || a.P != c.P || b.Q != c.Q || a.Kind != c.Kind {
			t.Fatalf("%+v split at %g gives %+v and %+v", c, s, a, b)
		}
		if !near(a.Length()+b.Length(), c.Length(), 1e-11*c.Length()) || !near(a.Area()+b.Area(), c.Area(), 1e-9) {
			t.Errorf("%+v split at %g: lengths or areas do not add up", c, s)
		}
		lo, hi := 0.4*r.Float64(), 0.6+0.4*r.Float64()
		u, v := 0.4*r.Float64(), 0.6+0.4*r.Float64()
		twice, once := c.Part(lo, hi).Part(u, v), c.Part(lo+u*(hi-lo), lo+v*(hi-lo))
		for _, x := range []float64{0, 0.3, 0.5, 0.8, 1} {
			if d := twice.At(x).Dist(once.At(x)); d > 1e-10 {
				t.Errorf("%+v: part of a part is %g away from the part", c, d)
			}
		}
	})
}

// Curve.Area is ½∮(x dy − y dx), here by many short chords.
func TestCurveArea(t *testing.T) {
	eachCurve(t, func(t *testing.T, _ *rand.Rand, c Curve) {
		const n = 20000
		sum, prev := 0.0, c.P
		for i := 1; i <= n; i++ {
			next := c.At(float64(i) / n)
			sum += prev.Cross(next) / 2
			prev = next
		}
		if !near(sum, c.Area(), 1e-3) {
			t.Errorf("%+v: area %g, by chords %g", c, c.Area(), sum)
		}
	})
}

// An arc by its radius has it, passes both ends, turns at most half a turn and
// to the left when the radius is positive.
func TestArcRadius(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	for range 500 {
		p, q := randomPoint(r, 50), randomPoint(r, 50)
		radius := p.Dist(q) / 2 * (1 + 3*r.Float64())
		if r.Intn(2) == 0 {
			radius = -radius
		}
		c, err := ArcRadius(p, q, radius)
		if err != nil {
			t.Fatal(err)
		}
		if !near(p.Dist(c.C), c.R, 1e-10) || !near(q.Dist(c.C), c.R, 1e-10) || !near(c.R, math.Abs(radius), 1e-12*c.R) {
			t.Errorf("%+v is no arc of radius %g", c, radius)
		}
		if c.Sweep.Abs().Radians() > math.Pi || (c.Sweep.Radians() > 0) != (radius > 0) || c.At(1-1e-13).Dist(q) > 1e-9 {
			t.Errorf("radius %g sweeps %g", radius, c.Sweep.Radians())
		}
	}
}

// An arc through a point passes it, between its ends.
func TestArcThrough(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for range 500 {
		p, m, q := randomPoint(r, 50), randomPoint(r, 50), randomPoint(r, 50)
		c, err := ArcThrough(p, m, q)
		if err != nil {
			t.Fatal(err)
		}
		if _, d := c.Nearest(m); d > 1e-9*(1+c.R) || c.P != p || c.Q != q {
			t.Errorf("%+v passes %g from %v", c, d, m)
		}
		if left := m.Sub(p).Cross(q.Sub(p)) > 0; left != (c.Sweep.Radians() > 0) {
			t.Errorf("%+v turns the wrong way", c)
		}
	}
}

// An arc by its sweep turns by it and lands where asked. Its bulge, the sagitta
// over half the chord, is tan(sweep/4) (DXF reference, VERTEX), so 90° gives
// 0.41421356 and 45° 0.19891237; r = chord·(1 + b²)/(4·|b|).
func TestArcSweep(t *testing.T) {
	for _, c := range []struct{ degrees, bulge float64 }{
		{90, 0.41421356}, {45, 0.19891237}, {-90, -0.41421356}, {180, 1}, {270, 2.41421356}, {-300, -3.73205081},
	} {
		a, err := ArcSweep(Pt(3, 1), Pt(11, 7), Degrees(c.degrees).Angle())
		if err != nil {
			t.Fatal(err)
		}
		chord := a.P.Dist(a.Q)
		sagitta := a.Q.Sub(a.P).Unit().Cross(a.P.Lerp(a.Q, 0.5).Sub(a.At(0.5)))
		if !near(sagitta/(chord/2), c.bulge, 1e-8) {
			t.Errorf("sweep %g: bulge %g, want %g", c.degrees, sagitta/(chord/2), c.bulge)
		}
		if want := chord * (1 + c.bulge*c.bulge) / (4 * math.Abs(c.bulge)); !near(a.R, want, 1e-6) {
			t.Errorf("sweep %g: radius %g, want %g", c.degrees, a.R, want)
		}
	}
}

func TestArcErrors(t *testing.T) {
	_, err := ArcRadius(Pt(0, 0), Pt(10, 0), 4)
	wantError(t, err, "radius 4 is too small for a chord of 10; at least 5 reaches")
	_, err = ArcRadius(Pt(1, 1), Pt(1, 1), 4)
	wantError(t, err, "the arc ends where it starts")
	_, err = ArcThrough(Pt(0, 0), Pt(1, 1), Pt(5, 5))
	wantError(t, err, "the three points of the arc lie on one line")
	// A rise of h over a chord of 2 is 4h/5 of the squares of both sides.
	_, err = ArcThrough(Pt(0, 0), Pt(1, 0.9*flatArc*5/4), Pt(2, 0))
	wantError(t, err, "the three points of the arc lie on one line")
	if _, err = ArcThrough(Pt(0, 0), Pt(1, 1.1*flatArc*5/4), Pt(2, 0)); err != nil {
		t.Error(err)
	}
	_, err = ArcSweep(Pt(0, 0), Pt(1, 1), Radians(leastSweep/2))
	wantError(t, err, "a sweep of 0 degrees is not between 0 and 360")
	_, err = ArcSweep(Pt(0, 0), Pt(1, 1), Degrees(360).Angle())
	wantError(t, err, "a sweep of 360 degrees is not between 0 and 360")
	_, err = ArcSweep(Pt(0, 0), Pt(0, 0), Radians(1))
	wantError(t, err, "the arc ends where it starts")
}

// An arc asked for by its diameter is a half circle whatever the last bits say.
func TestHalfCircle(t *testing.T) {
	c, err := ArcRadius(Pt(0, 0), Pt(0.3, 0), 0.15-1e-17)
	if err != nil || !near(c.Sweep.Radians(), math.Pi, 1e-7) {
		t.Errorf("got %+v, %v", c, err)
	}
}

// A sweep short of a half turn by what moves no centre by 1e-9 mm has the chord's
// middle for its centre exactly; one short by more has not.
func TestNearHalfTurn(t *testing.T) {
	for _, q := range []Point{Pt(0.3, 0.7), Pt(6e4, 8e4)} {
		for _, short := range []float64{3.5e-14, -3.5e-14} {
			if c, err := ArcSweep(Pt(0, 0), q, Radians(math.Pi-short)); err != nil || c.C != q.Mul(0.5) {
				t.Errorf("%g short of a half turn: centre %v of a chord to %v, %v", short, c.C, q, err)
			}
		}
	}
	// Of a chord of 1e5 mm, 1e-13·1e5/4 mm to the left.
	c, err := ArcSweep(Pt(0, 0), Pt(1e5, 0), Radians(math.Pi-1e-13))
	if err != nil || !near(c.C.Y, 2.5e-9, 1e-10) {
		t.Errorf("centre %v, %v", c.C, err)
	}
}

// A far-off centre costs no digits: a flat arc still ends on its end.
func TestFlatArc(t *testing.T) {
	c, err := ArcThrough(Pt(0, 0), Pt(50, 0.001), Pt(100, 0))
	if err != nil {
		t.Fatal(err)
	}
	if d := c.At(0.5).Dist(Pt(50, 0.001)); d > 1e-9 {
		t.Errorf("the middle of an arc of radius %g is %g off", c.R, d)
	}
	if d := c.At(1 - 1e-15).Dist(c.Q); d > 1e-8 {
		t.Errorf("the end of an arc of radius %g is %g off", c.R, d)
	}
}
