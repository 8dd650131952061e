package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the fitted offset of a curve keeps the asked distance within growError,
// and the fit stays small.
func TestFittedOffsets(t *testing.T) {
	rnd := rand.New(rand.NewSource(6))
	worst, most := 0.0, 0
	for range 300 {
		q := geom.Pt(40, 0)
		c := geom.CubicFrom(geom.Pt(0, 0), geom.Pt(rnd.Float64()*20, rnd.Float64()*20), geom.Pt(20+rnd.Float64()*20, rnd.Float64()*20), q)
		d := rnd.Float64()*4 - 2
		s := shiftCubic(geom.Edge{Curve: c}, d)
		most = max(most, len(s.curves))
		if len((parallel{c, d}).turns()) > 2 {
			continue // a bend tighter than the offset
		}
		for _, f := range s.curves {
			for i := range 21 {
				if _, off := c.Nearest(f.At(float64(i) / 20)); off < math.Abs(d) || i%20 != 0 {
					worst = math.Max(worst, math.Abs(off-math.Abs(d)))
				}
			}
		}
	}
	if worst > 2*growError || most > 24 {
		t.Errorf("off by up to %v with up to %d curves", worst, most)
	}
}

// A cubic bent like a quarter circle grows into one of the larger radius.
// Kappa, 0.5522847498, is the usual handle for a quarter turn; its radius is
// within 2.7e-4 of true.
func TestGrowRoundCubic(t *testing.T) {
	const r, k = 10, 0.5522847498 * 10
	p := geom.Path{Closed: true}
	c := geom.CubicFrom(geom.Pt(r, 0), geom.Pt(r, k), geom.Pt(k, r), geom.Pt(0, r))
	for i := range 4 {
		p.Edges = append(p.Edges, geom.Edge{Name: "e", Curve: c.Transform(geom.Rotation(geom.Radians(float64(i)*math.Pi/2), geom.Pt(0, 0)))})
	}
	for _, d := range []float64{5, -5, 90} {
		q := mustGrow(t, p, d)
		for _, e := range q.Edges {
			if off := math.Abs(e.At(0.3).Len() - r - d); off > 2.8e-3+growError {
				t.Errorf("by %v: %s is off by %v", d, e.Name, off)
			}
		}
	}
}

// A curve that stops and turns back in a cusp is taken as two.
func TestSplitAtCusps(t *testing.T) {
	cusp := geom.CubicFrom(geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(0, 10), geom.Pt(10, 0))
	parts := splitAtCusps(cusp)
	if len(parts) != 2 || parts[0].Q.Dist(geom.Pt(5, 7.5)) > 1e-6 {
		t.Errorf("%v", parts)
	}
	for _, smooth := range []geom.Curve{
		geom.CubicFrom(geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(1, 10), geom.Pt(10, 0)),
		geom.CubicFrom(geom.Pt(0, 0), geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(10, 10)),
		geom.LineFrom(geom.Pt(0, 0), geom.Pt(1, 0)),
	} {
		if n := len(splitAtCusps(smooth)); n != 1 {
			t.Errorf("%v: %d parts", smooth, n)
		}
	}
	// An outline with a spike like that grows all round it.
	p := geom.Path{Closed: true, Edges: []geom.Edge{
		{Name: "base", Curve: geom.LineFrom(geom.Pt(0, 0), geom.Pt(10, 0))},
		{Name: "spike", Curve: cusp.Reverse()},
	}}
	if q := mustGrow(t, p, 1); !q.Contains(geom.Pt(5, 8.4)) || q.Contains(geom.Pt(5, 8.6)) {
		t.Errorf("spike grew to %v", q.Bounds())
	}
}

// Law: the centre of curvature is where the normals of two near places meet,
// and the offset by its distance has no speed there.
func TestCentre(t *testing.T) {
	rnd := rand.New(rand.NewSource(9))
	for range 200 {
		c := geom.CubicFrom(geom.Pt(0, 0), geom.Pt(rnd.Float64()*20, 5+rnd.Float64()*20), geom.Pt(20+rnd.Float64()*20, 5+rnd.Float64()*20), geom.Pt(40, 0))
		const step = 1e-5
		u := 0.1 + 0.8*rnd.Float64()
		p, q := c.At(u-step), c.At(u+step)
		m, n := rightOf(c, u-step), rightOf(c, u+step)
		want := p.Add(m.Mul(q.Sub(p).Cross(n) / m.Cross(n)))
		got := parallel{c, 1}.centre(u)
		far := got.Dist(c.At(u))
		if got.Dist(want) > 1e-4*far {
			t.Fatalf("%v at %v: %v, want %v", c, u, got, want)
		}
		if v := (parallel{c, -far}).speed(u); math.Abs(v) > 1e-9 && math.Abs((parallel{c, far}).speed(u)) > 1e-9 {
			t.Fatalf("%v at %v: the offset by %v has speed %v", c, u, far, v)
		}
	}
}

// A handle is as the speed asks for between half and twice as long, not the
// other way.
func TestSized(t *testing.T) {
	for _, c := range []struct {
		x, want float64
		ok      bool
	}{{3, 3, true}, {1.6, 3, true}, {5.9, 3, true}, {1.4, 3, false}, {6.1, 3, false}, {-3, 3, false}, {0, 0, false}} {
		if got := sized(c.x, c.want); got != c.ok {
			t.Errorf("%v for %v: %v", c.x, c.want, got)
		}
	}
}
