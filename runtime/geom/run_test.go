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
			a, b = a.Move(m), b.Move(m)
			back := n%2 == 1
			if back {
				b = b.Reverse()
			}
			lo, hi := math.Max(a0, b0), math.Min(a1, b1)
			var run []Touch
			for _, x := range Meet(a, b) {
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
			want  Touch
		}{{c, Touch{0, 1, 0, 1}}, {c.Reverse(), Touch{0, 1, 1, 0}}} {
			if got := Meet(c, x.other); len(got) != 1 || got[0] != x.want {
				t.Errorf("case %d: %v with itself gives %v, want %v", n, c.Kind, got, x.want)
			}
		}
	}
}

func TestMeetSpecial(t *testing.T) {
	line := func(x0, y0, x1, y1 float64) Curve { return LineFrom(Pt(x0, y0), Pt(x1, y1)) }
	arc := func(r, from, to float64) Curve {
		return ArcFrom(Polar(r, Degrees(from)), Point{}, Degrees(to-from))
	}
	for _, c := range []struct {
		name string
		a, b Curve
		want []Touch
	}{
		{"shared end", line(0, 0, 10, 0), line(10, 0, 10, 5), []Touch{{1, 1, 0, 0}}},
		{"end on middle", line(0, 0, 10, 0), line(5, 0.0009, 5, 5), []Touch{{0.5, 0.5, 0, 0}}},
		{"end short of it", line(0, 0, 10, 0), line(5, 0.0011, 5, 5), nil},
		{"within weld all along", line(0, 0, 10, 0), line(12, 0.0009, 2, 0.0009), []Touch{{0.2, 1, 1, 0.2}}},
		{"parallel, clear", line(0, 0, 10, 0), line(0, 0.0011, 10, 0.0011), nil},
		{"collinear, end on end", line(0, 0, 10, 0), line(10, 0, 20, 0), []Touch{{1, 1, 0, 0}}},
		{"collinear, apart", line(0, 0, 10, 0), line(10.002, 0, 20, 0), nil},
		{"inside the other", line(0, 0, 10, 0), line(2, 0, 4, 0), []Touch{{0.2, 0.4, 0, 1}}},
		{"short overlap", line(0, 0, 10, 0), line(9.99, 0, 19.99, 0), []Touch{{0.999, 1, 0, 0.001}}},
		{"tangent line", line(-10, 5, 10, 5), arc(5, 0, 180), []Touch{{0.5, 0.5, 0.5, 0.5}}},
		{"tangent at the end", line(5, 0, 5, -10), arc(5, 0, 90), []Touch{{0, 0, 0, 0}}},
		{"just missing", line(-10, 5.0011, 10, 5.0011), arc(5, 0, 180), nil},
		{"arcs share 30…90", arc(5, 0, 90), arc(5, 30, 120), []Touch{{1.0 / 3, 1, 0, 2.0 / 3}}},
		{"arcs of different size", arc(5, 0, 90), arc(5.002, 0, 90), nil},
		{"two long arcs share two stretches", arc(5, 0, 300), arc(5, 200, 520), []Touch{
			{0, 160.0 / 300, 0.5, 1}, {200.0 / 300, 1, 0, 100.0 / 320}}},
		{"full circles", arc(5, 0, 360), arc(5, 90, 450), []Touch{{0, 0.25, 0.75, 1}, {0.25, 1, 0, 0.75}}},
		{"circles outside", arc(5, -90, 90), arc(3, 90, 270).Move(Shift(8, 0)), []Touch{{0.5, 0.5, 0.5, 0.5}}},
		{"circles inside", arc(5, -90, 90), arc(3, -90, 90).Move(Shift(2, 0)), []Touch{{0.5, 0.5, 0.5, 0.5}}},
		{"straight cubic on a line", line(0, 0, 9, 0), CubicFrom(Pt(3, 0), Pt(5, 0), Pt(7, 0), Pt(9, 0)), []Touch{{1.0 / 3, 1, 0, 1}}},
		{"cubic touching a line", line(0, 3, 10, 3), CubicFrom(Pt(0, 0), Pt(0, 4), Pt(10, 4), Pt(10, 0)), []Touch{{0.5, 0.5, 0.5, 0.5}}},
		{"long shallow drift", line(0, 0, 100, 0), line(0, 0, 100, 0.002), []Touch{{0, 0.5, 0, 0.5}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := Meet(c.a, c.b)
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
	for n := range 300 {
		a, b := randomCurve(r, allKinds[n%3]), randomCurve(r, allKinds[n/3%3])
		ab, ba := Meet(a, b), Meet(b, a)
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
