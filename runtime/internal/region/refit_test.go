package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: whatever the curve, its copy has the asked ends, is consistent in
// itself, and lies within a few welds of it; an arc short of a half circle keeps
// its radius.
func TestRefit(t *testing.T) {
	rnd := rand.New(rand.NewSource(4))
	for range 5000 {
		c := randomCurves(rnd, 1)[0]
		if c.Length() < 0.1 || c.Sweep.Abs().Radians() > 5 {
			continue // a nearly full turn over a small gap must swing about it
		}
		size := []float64{1e-10, geom.SnapTolerance}[rnd.Intn(2)]
		jog := func() geom.Point { return geom.Polar(size*rnd.Float64(), geom.Radians(rnd.Float64()*6)) }
		p, q := c.P.Add(jog()), c.Q.Add(jog())
		d := refit(c, p, q)
		if d.P != p || d.Q != q || d.Kind != c.Kind {
			t.Fatalf("%v became %v", c, d)
		}
		for i := range 9 {
			if _, off := c.Nearest(d.At(float64(i) / 8)); off > 6*geom.SnapTolerance {
				t.Fatalf("%v moved by %v to %v", c, off, d)
			}
		}
		if c.Kind != geom.Arc {
			continue
		}
		if size < geom.Tiny && (d.R != c.R || d.C != c.C || d.Sweep.Radians() != c.Sweep.Radians()) {
			t.Fatalf("%v did not keep its circle: %v", c, d)
		}
		if c.Sweep.Abs().Radians() < 2.6 && d.R != c.R {
			t.Fatalf("%v changed its radius to %v", c, d.R)
		}
		for _, end := range []float64{p.Dist(d.C), q.Dist(d.C), geom.Rotation(d.Sweep, d.C).Apply(p).Dist(q) + d.R} {
			if math.Abs(end-d.R) > 1e-9 {
				t.Fatalf("%v: an end lies %v off", d, end-d.R)
			}
		}
	}
}

// A half circle whose chord grew cannot keep its radius; a full one shifts.
func TestRefitExtremes(t *testing.T) {
	half := geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(math.Pi))
	if d := refit(half, geom.Pt(10.001, 0), half.Q); math.Abs(d.R-10.0005) > 1e-6 || math.Abs(d.Sweep.Radians()-math.Pi) > 1e-3 {
		t.Errorf("half circle became %v", d)
	}
	full := geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	if d := refit(full, geom.Pt(10, 0.001), geom.Pt(10, 0.001)); d.R != 10 || d.C != geom.Pt(0, 0.001) {
		t.Errorf("full circle became %v", d)
	}
	short := geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(1e-4))
	if d := refit(short, geom.Pt(10, -0.001), short.Q); d.Kind != geom.Line {
		t.Errorf("an arc no longer than a weld became %v", d)
	}
}
