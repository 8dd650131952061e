package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: points where carriers meet lie on both, and there are as many as the
// circles' and lines' distances say.
func TestCarriersMeet(t *testing.T) {
	rnd := rand.New(rand.NewSource(8))
	pt := func() geom.Point { return geom.Pt(rnd.Float64()*20, rnd.Float64()*20) }
	any := func() geom.Curve {
		if rnd.Intn(2) == 0 {
			return geom.LineFrom(pt(), pt())
		}
		return geom.ArcFrom(pt(), pt(), geom.Radians(1))
	}
	off := func(c geom.Curve, p geom.Point) float64 {
		if c.Kind == geom.Arc {
			return math.Abs(p.Dist(c.C) - c.R)
		}
		return math.Abs(p.Sub(c.P).Cross(c.Tangent(0)))
	}
	for range 2000 {
		a, b := any(), any()
		ms := carriersMeet(a, b)
		for _, m := range ms {
			if off(a, m) > 1e-6 || off(b, m) > 1e-6 {
				t.Fatalf("%v and %v: %v lies %v and %v off", a, b, m, off(a, m), off(b, m))
			}
		}
		want := 1
		if a.Kind == geom.Arc || b.Kind == geom.Arc {
			want = 2
			if a.Kind == geom.Line {
				a, b = b, a
			}
			far := off(b, a.C)
			if b.Kind == geom.Arc {
				d := a.C.Dist(b.C)
				if d > a.R+b.R || d < math.Abs(a.R-b.R) {
					want = 0
				}
			} else if far > a.R {
				want = 0
			}
		}
		if len(ms) != want {
			t.Fatalf("%v and %v: %d points, want %d", a, b, len(ms), want)
		}
	}
}

// How a corner is made depends on what meets there.
func TestCorners(t *testing.T) {
	line := func(x0, y0, x1, y1 float64) geom.Curve { return geom.LineFrom(geom.Pt(x0, y0), geom.Pt(x1, y1)) }
	tests := []struct {
		name   string
		a, b   geom.Curve
		d      float64
		curves int
		tip    geom.Point // where the corner comes furthest
	}{
		{"square", line(0, 0, 10, 0), line(10, 0, 10, 10), 2, 0, geom.Pt(12, -2)},
		{"square from inside", line(0, 0, 10, 0), line(10, 0, 10, -10), -2, 0, geom.Pt(12, 2)},
		{"square, overlapping", line(0, 0, 10, 0), line(10, 0, 10, -10), 2, 2, geom.Pt(10, 0)},
		{"straight on", line(0, 0, 10, 0), line(10, 0, 20, 0), 2, 0, geom.Pt(10, -2)},
		{"line and curve", line(0, 0, 10, 0), geom.CubicFrom(geom.Pt(10, 0), geom.Pt(10, 5), geom.Pt(10, 8), geom.Pt(5, 10)), 2, 1, geom.Pt(12, -2)},
		{"needle", line(0, 0, 10, 0), line(10, 0, 0, 0.01), 2, 1, geom.Pt(12, 0)},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, u := shift(geom.Edge{Curve: test.a}, test.d), shift(geom.Edge{Curve: test.b}, test.d)
			l := corner{s: s, t: u, d: test.d}.link()
			at := s.end
			if len(l) > 0 {
				at = l[0].At(0.5)
				if l[0].Kind == geom.Line {
					at = l[0].P
					if at.Dist(test.tip) > 1e-3 {
						at = l[0].Q
					}
				}
			}
			if len(l) != test.curves || at.Dist(test.tip) > 1e-2 {
				t.Errorf("%d curves by way of %v, want %d and %v", len(l), at, test.curves, test.tip)
			}
			if len(l) == 0 && s.end.Dist(u.start) > 1e-9 {
				t.Errorf("ends at %v, goes on at %v", s.end, u.start)
			}
		})
	}
}

// Law: a turn of the outline that shows is a sharp corner of its offset, at 1/cos
// of half the turn from the old one, even where it opens a gap of microns only;
// one that does not show moves the ends by no more than the gap.
func TestSlightCorners(t *testing.T) {
	const d = 0.1
	for _, turn := range []float64{2 * geom.SmoothSine, 1e-3, 0.05, 0.5, geom.SmoothSine / 2} {
		bend := geom.Pt(10, 0).Add(geom.Polar(10, geom.Radians(turn)))
		s := shift(geom.Edge{Curve: geom.LineFrom(geom.Pt(0, 0), geom.Pt(10, 0))}, d)
		u := shift(geom.Edge{Curve: geom.LineFrom(geom.Pt(10, 0), bend)}, d)
		if l := (corner{s: s, t: u, d: d}).link(); len(l) > 0 || s.end != u.start {
			t.Fatalf("turn %v: %v between ends %v and %v", turn, l, s.end, u.start)
		}
		want, most := d*math.Tan(turn/2), 1e-12
		if turn < geom.SmoothSine {
			most = d * turn
		}
		if off := math.Abs(s.end.X - 10 - want); off > most {
			t.Errorf("turn %v: the corner is at %v, %v off", turn, s.end, off)
		}
	}
}

// Near a cusp a spike turns left and a crack right, whatever the tangents say.
func TestTurnAtCusps(t *testing.T) {
	o := geom.Pt(0, 0)
	// Two arcs that touch the x axis at the origin, the second flatter.
	in := geom.ArcFrom(geom.Polar(10, geom.Radians(0)).Add(geom.Pt(0, 10)), geom.Pt(0, 10), geom.Radians(-math.Pi/2))
	out := geom.ArcFrom(o, geom.Pt(0, 30), geom.Radians(math.Pi/4))
	spike := corner{&shifted{Edge: geom.Edge{Curve: in}}, &shifted{Edge: geom.Edge{Curve: out}}, 1, sharpCorners}
	crack := corner{&shifted{Edge: geom.Edge{Curve: out.Reverse()}}, &shifted{Edge: geom.Edge{Curve: in.Reverse()}}, 1, sharpCorners}
	if turn := spike.turn(); turn < 3.1 {
		t.Errorf("the spike turns by %v", turn)
	}
	if turn := crack.turn(); turn > -3.1 {
		t.Errorf("the crack turns by %v", turn)
	}
}
