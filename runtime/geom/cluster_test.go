package geom

import (
	"math"
	"math/rand"
	"testing"
)

// Two parts of one curve share exactly the stretch between the later start
// and the earlier end, and run opposite ways when one is reversed.
func TestMeetPartsOfOneCurve(t *testing.T) {
	for _, k := range allKinds {
		r := rand.New(rand.NewSource(int64(k) + 7))
		for n := range 300 {
			c := randomCurve(r, k)
			if k == Cubic && selfNear(c) {
				continue
			}
			a0, a1 := 0.4*r.Float64(), 0.6+0.4*r.Float64()
			b0, b1 := 0.4*r.Float64(), 0.6+0.4*r.Float64()
			a, b := c.Part(a0, a1), c.Part(b0, b1)
			m := randomMotion(r)
			a, b = a.Transform(m), b.Transform(m)
			back := n%2 == 1
			if back {
				b = b.Reverse()
			}
			lo, hi := math.Max(a0, b0), math.Min(a1, b1)
			var run []Intersection
			for _, x := range Intersect(a, b) {
				if !x.IsPoint() {
					run = append(run, x)
				}
			}
			if len(run) != 1 {
				t.Fatalf("%v case %d: stretches %v", k, n, run)
			}
			got := run[0]
			if !near(got.A0, (lo-a0)/(a1-a0), 1e-8) || !near(got.A1, (hi-a0)/(a1-a0), 1e-8) || (got.B0 > got.B1) != back {
				t.Errorf("%v case %d: got %+v, want %g…%g", k, n, got, (lo-a0)/(a1-a0), (hi-a0)/(a1-a0))
			}
			if d := a.At(got.A0).Dist(b.At(got.B0)) + a.At(got.A1).Dist(b.At(got.B1)); d > 1e-8 {
				t.Errorf("%v case %d: stretch ends lie %g apart", k, n, d)
			}
		}
	}
}

// selfNear reports a cubic that crosses itself or has a sharp hairpin, where
// parts may meet a second time.
func selfNear(c Curve) bool {
	pts := flat(c, 1e-2)
	for i := range pts {
		for j := i + 1; j < len(pts); j++ {
			along := 0.0
			for k := i; k < j; k++ {
				along += pts[k].Dist(pts[k+1])
			}
			if pts[i].Dist(pts[j]) < along/3 {
				return true
			}
		}
	}
	return false
}

// A curve shares all of itself with itself, reversed or not.
func TestMeetItself(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for n := range 300 {
		c := randomCurve(r, allKinds[n%3])
		if c.Kind == Cubic && selfNear(c) {
			continue
		}
		for _, x := range []struct {
			other Curve
			want  Intersection
		}{{c, Intersection{0, 1, 0, 1}}, {c.Reverse(), Intersection{0, 1, 1, 0}}} {
			if got := Intersect(c, x.other); len(got) != 1 || got[0] != x.want {
				t.Errorf("case %d: %v with itself gives %v, want %v", n, c.Kind, got, x.want)
			}
		}
	}
}

func TestMeetSpecial(t *testing.T) {
	line := func(x0, y0, x1, y1 float64) Curve { return LineFrom(Pt(x0, y0), Pt(x1, y1)) }
	arc := func(r, from, to float64) Curve {
		return ArcFrom(Polar(r, Degrees(from).Angle()), Point{}, Degrees(to-from).Angle())
	}
	for _, c := range []struct {
		name string
		a, b Curve
		want []Intersection
	}{
		{"shared end", line(0, 0, 10, 0), line(10, 0, 10, 5), []Intersection{{1, 1, 0, 0}}},
		{"end on middle", line(0, 0, 10, 0), line(5, 0.0009, 5, 5), []Intersection{{0.5, 0.5, 0, 0}}},
		{"end short of it", line(0, 0, 10, 0), line(5, 0.0011, 5, 5), nil},
		{"within tolerance all along", line(0, 0, 10, 0), line(12, 0.0009, 2, 0.0009), []Intersection{{0.2, 1, 1, 0.2}}},
		{"parallel, clear", line(0, 0, 10, 0), line(0, 0.0011, 10, 0.0011), nil},
		{"collinear, end on end", line(0, 0, 10, 0), line(10, 0, 20, 0), []Intersection{{1, 1, 0, 0}}},
		{"collinear, apart", line(0, 0, 10, 0), line(10.002, 0, 20, 0), nil},
		{"inside the other", line(0, 0, 10, 0), line(2, 0, 4, 0), []Intersection{{0.2, 0.4, 0, 1}}},
		{"short overlap", line(0, 0, 10, 0), line(9.99, 0, 19.99, 0), []Intersection{{0.999, 1, 0, 0.001}}},
		{"tangent line", line(-10, 5, 10, 5), arc(5, 0, 180), []Intersection{{0.5, 0.5, 0.5, 0.5}}},
		{"tangent at the end", line(5, 0, 5, -10), arc(5, 0, 90), []Intersection{{0, 0, 0, 0}}},
		{"just missing", line(-10, 5.0011, 10, 5.0011), arc(5, 0, 180), nil},
		{"arcs share 30…90", arc(5, 0, 90), arc(5, 30, 120), []Intersection{{1.0 / 3, 1, 0, 2.0 / 3}}},
		{"arcs of different size", arc(5, 0, 90), arc(5.002, 0, 90), nil},
		{"two long arcs share two stretches", arc(5, 0, 300), arc(5, 200, 520), []Intersection{
			{0, 160.0 / 300, 0.5, 1}, {200.0 / 300, 1, 0, 100.0 / 320}}},
		{"full circles", arc(5, 0, 360), arc(5, 90, 450), []Intersection{{0, 0.25, 0.75, 1}, {0.25, 1, 0, 0.75}}},
		{"circles outside", arc(5, -90, 90), arc(3, 90, 270).Transform(Translation(8, 0)), []Intersection{{0.5, 0.5, 0.5, 0.5}}},
		{"circles inside", arc(5, -90, 90), arc(3, -90, 90).Transform(Translation(2, 0)), []Intersection{{0.5, 0.5, 0.5, 0.5}}},
		{"straight cubic on a line", line(0, 0, 9, 0), CubicFrom(Pt(3, 0), Pt(5, 0), Pt(7, 0), Pt(9, 0)), []Intersection{{1.0 / 3, 1, 0, 1}}},
		{"cubic touching a line", line(0, 3, 10, 3), CubicFrom(Pt(0, 0), Pt(0, 4), Pt(10, 4), Pt(10, 0)), []Intersection{{0.5, 0.5, 0.5, 0.5}}},
		{"a point on a line", line(3, 0, 3, 0), line(0, 0, 10, 0), []Intersection{{0, 0, 0.3, 0.3}}},
		{"a point on an arc", line(5, 0, 5, 0), arc(5, -90, 90), []Intersection{{0, 0, 0.5, 0.5}}},
		{"a point on a cubic", line(5, 3, 5, 3), CubicFrom(Pt(0, 0), Pt(0, 4), Pt(10, 4), Pt(10, 0)), []Intersection{{0, 0, 0.5, 0.5}}},
		{"long shallow drift", line(0, 0, 100, 0), line(0, 0, 100, 0.002), []Intersection{{0, 0.5, 0, 0.5}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Intersect(c.a, c.b)
			if len(got) != len(c.want) {
				t.Fatalf("got %v, want %v", got, c.want)
			}
			for i, g := range got {
				w := c.want[i]
				if !near(g.A0, w.A0, 1e-6) || !near(g.A1, w.A1, 1e-6) || !near(g.B0, w.B0, 1e-6) || !near(g.B1, w.B1, 1e-6) {
					t.Errorf("got %v, want %v", got, c.want)
				}
			}
		})
	}
}

// Swapping the curves swaps the touches.
func TestMeetSwapped(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for n := range 600 {
		a, b := randomCurve(r, allKinds[n%3]), randomCurve(r, allKinds[n/3%3])
		if n%2 == 0 {
			b = a.Part(0.1, 0.7)
		}
		if n%4 == 0 {
			b = b.Reverse()
		}
		ab, ba := Intersect(a, b), Intersect(b, a)
		if len(ab) != len(ba) {
			t.Fatalf("case %d: %v one way, %v the other", n, ab, ba)
		}
		for _, x := range ab {
			found := false
			for _, y := range ba {
				y = y.Swap()
				found = found || near(x.A0, y.A0, 1e-7) && near(x.B0, y.B0, 1e-7) && near(x.A1, y.A1, 1e-7) && near(x.B1, y.B1, 1e-7)
			}
			if !found {
				t.Errorf("case %d: %v has no counterpart in %v", n, x, ba)
			}
		}
	}
}

// lookalike is a curve that runs close to c for part of the way: a shaken copy,
// a tangent cubic, a hairpin through its ends or a shifted part of it.
func lookalike(r *rand.Rand, c Curve) Curve {
	shake := math.Pow(10, -12+11*r.Float64())
	switch r.Intn(4) {
	case 0:
		return CubicFrom(c.P, c.P.Lerp(c.Q, 0.8), c.P.Lerp(c.Q, 0.2), c.Q)
	case 1:
		s := r.Float64()
		p, u := c.At(s), c.Tangent(s)
		return CubicFrom(p.Sub(u.Mul(10)), p.Sub(u.Mul(3)), p.Add(u.Mul(3)), p.Add(u.Mul(10)).Add(u.Left().Mul(r.Float64())))
	case 2:
		return c.Part(0.3*r.Float64(), 0.7+0.3*r.Float64()).Transform(Translation(shake, -shake))
	}
	c.P, c.Q = c.P.Add(randomPoint(r, shake)), c.Q.Add(randomPoint(r, shake))
	switch c.Kind {
	case Arc:
		return LineFrom(c.P, c.Q)
	case Cubic:
		c.C, c.D = c.C.Add(randomPoint(r, shake)), c.D.Add(randomPoint(r, shake))
	}
	return c
}

// However close two curves run, what Meet tells is true: points and stretches
// lie within SnapTolerance, ascend and do not overlap; and it is all there is: wherever
// one curve is well within SnapTolerance of the other, a touch is told nearby.
func TestMeetLookalikes(t *testing.T) {
	r := rand.New(rand.NewSource(9))
	for n := range 1500 {
		a := randomCurve(r, allKinds[n%3])
		b := lookalike(r, a)
		if r.Intn(4) == 0 {
			far := Translation(9e4, 1e3)
			a, b = a.Transform(far), b.Transform(far)
		}
		ts := Intersect(a, b)
		for i, x := range ts {
			if i > 0 && x.A0 < ts[i-1].A0 {
				t.Errorf("case %d: %v is not sorted", n, ts)
			}
			pa := a.stretch(x.A0, x.A1)
			for k := range 5 {
				if _, d := b.Nearest(pa.At(float64(k) / 4)); d > 1.01*SnapTolerance {
					t.Errorf("case %d: %v lies %g from the other curve", n, x, d)
				}
			}
		}
		for k := range 101 {
			s := float64(k) / 100
			if _, d := b.Nearest(a.At(s)); d < SnapTolerance/2 && !told(a, ts, s) {
				t.Errorf("case %d: at %g the curves are %g apart, told %v\n%+v\n%+v", n, s, d, ts, a, b)
			}
		}
	}
}

// told reports a touch within twice minRun of a's point at s.
func told(a Curve, ts []Intersection, s float64) bool {
	for _, x := range ts {
		if s >= x.A0 && s <= x.A1 || a.stretch(s, x.A0).Length() < 2*minOverlap || a.stretch(s, x.A1).Length() < 2*minOverlap {
			return true
		}
	}
	return false
}

// Law: no point of a piece of a cubic lies further from its chord than flat says,
// and where the second derivative is constant the middle lies just so far.
func TestPieceFlatness(t *testing.T) {
	r := rand.New(rand.NewSource(12))
	for range 200 {
		p, q := randomPoint(r, 50), randomPoint(r, 50)
		c := newPiece(CubicFrom(p, randomPoint(r, 50), randomPoint(r, 50), q), 0, 1)
		chord := LineFrom(p, q)
		for i := range 33 {
			at := float64(i) / 32
			if off := c.At(at).Dist(chord.At(at)); off > c.flat+1e-9 {
				t.Fatalf("%v strays by %v, said to be at most %v", c.Curve, off, c.flat)
			}
		}
		// P, C, D, Q of a parabola: raised from degree two.
		m := randomPoint(r, 50)
		b := newPiece(CubicFrom(p, p.Lerp(m, 2.0/3), q.Lerp(m, 2.0/3), q), 0, 1)
		if off := b.At(0.5).Dist(chord.At(0.5)); !near(off, b.flat, 1e-9) {
			t.Fatalf("a parabola strays by %v, said to be %v", off, b.flat)
		}
	}
}
