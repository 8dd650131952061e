package region

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: whatever the curve, its copy has the asked ends, is consistent in
// itself, and lies within a few snap tolerances of it; an arc short of a half circle keeps
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

// Law: an arc stays as long as it was, to a fiftieth or to a few snap
// tolerances, when an end is moved by less than that tolerance. The fiftieth is
// for one of nearly a full turn: its ends are as close together as those of a
// tiny arc, and moving one turns their chord, and with it the line its centre
// lies on; which is why Arrange cuts it in two. The tiny arc alone becomes a line.
func TestRefitTellsATinyArcFromAFullTurn(t *testing.T) {
	const radius, gap = 10, 0.003 // mm
	tiny := gap / radius          // radians
	for name, sweep := range map[string]float64{
		"tiny": tiny, "tiny, clockwise": -tiny,
		"nearly full": 2*math.Pi - tiny, "nearly full, clockwise": tiny - 2*math.Pi,
		"half": math.Pi, "over half": 3.3, "under half, clockwise": -3,
	} {
		c := geom.ArcFrom(geom.Pt(radius, 0), geom.Point{}, geom.Radians(sweep))
		for k := range 8 {
			off := geom.Polar(0.4*geom.SnapTolerance, geom.Radians(float64(k)))
			got := refit(c, c.P, c.Q.Add(off))
			if length, want := got.Length(), radius*math.Abs(sweep); math.Abs(length-want) > max(4*geom.SnapTolerance, want/50) {
				t.Errorf("%s: %v mm long, was %v", name, length, want)
			}
			if line := got.Kind == geom.Line; line != (math.Abs(sweep) < 1) {
				t.Errorf("%s: a line: %v", name, line)
			}
		}
	}
}

// nearRing is an arc of nearly a full turn about the origin, with a gap of some
// microns to a third of a millimetre between its ends.
func nearRing(rnd *rand.Rand) geom.Curve {
	radius, gap := 2+20*rnd.Float64(), 0.0015*math.Pow(200, rnd.Float64())
	sweep := geom.Radians(math.Copysign(2*math.Pi-gap/radius, rnd.Float64()-0.5))
	return geom.ArcFrom(geom.Polar(radius, geom.Radians(6*rnd.Float64())), geom.Point{}, sweep)
}

// Law: nothing of a nearly full turn is moved further than ends are, and its
// length stays to a few snap tolerances, where its ends are snapped to those of
// other arcs in any direction.
func TestNearlyFullTurnsStay(t *testing.T) {
	rnd := rand.New(rand.NewSource(17))
	for range 400 {
		ring := nearRing(rnd)
		other := func(end geom.Point) geom.Curve {
			at := end.Add(geom.Polar(0.9*geom.SnapTolerance*rnd.Float64(), geom.Radians(6*rnd.Float64())))
			return geom.ArcFrom(at, end.Mul(1.2), geom.Radians(2))
		}
		a := Arrange([]geom.Curve{other(ring.P), other(ring.Q), ring})
		length := 0.0
		for _, e := range a.Edges {
			if e.Origins[len(e.Origins)-1].Curve != 2 {
				continue
			}
			length += e.Length()
			for i := range 9 {
				if _, off := ring.Nearest(e.At(float64(i) / 8)); off > 4*geom.SnapTolerance {
					t.Fatalf("%v: %v lies %v mm off it", ring, e.Curve, off)
				}
			}
		}
		if math.Abs(length-ring.Length()) > 16*geom.SnapTolerance {
			t.Fatalf("%v: %v mm long, was %v", ring, length, ring.Length())
		}
	}
}

// Law: an arc of nearly a full turn in an outline, which its neighbours miss by
// less than the snap tolerance, keeps its circle, but for that, where something is
// cut off elsewhere and where the outline shrinks.
func TestOutlinesWithNearlyFullTurns(t *testing.T) {
	rnd := rand.New(rand.NewSource(18))
	for range 100 {
		ring := nearRing(rnd)
		if ring.Sweep.Radians() < 0 {
			ring = ring.Reverse()
		}
		miss := func() geom.Point { return geom.Polar(0.4*geom.SnapTolerance, geom.Radians(6*rnd.Float64())) }
		mouth := ring.P.Lerp(ring.Q, 0.5).Mul(0.5)
		left, right := mouth.Add(mouth.Left().Mul(0.5)), mouth.Sub(mouth.Left().Mul(0.5))
		p := geom.Path{Closed: true, Edges: []geom.Edge{
			{Name: "ring", Curve: ring},
			{Name: "in", Curve: geom.LineFrom(ring.Q.Add(miss()), right)},
			{Name: "across", Curve: geom.LineFrom(right, left)},
			{Name: "out", Curve: geom.LineFrom(left, ring.P.Add(miss()))},
		}}
		b := geom.Path{Closed: true}
		for _, c := range square(mouth.X-0.1, mouth.Y-0.1, 0.2) {
			b.Edges = append(b.Edges, geom.Edge{Curve: c})
		}
		cut, err := Minus(p, b)
		if err != nil {
			t.Fatal(err)
		}
		for radius, q := range map[float64]geom.Path{ring.R: cut, ring.R - 0.2: mustGrow(t, p, -0.2)} {
			turned := 0.0
			for _, e := range q.Edges {
				if e.Kind == geom.Arc {
					turned += e.Sweep.Radians()
					if off := max(e.C.Len(), math.Abs(e.R-radius)); off > 8*geom.SnapTolerance {
						t.Fatalf("%v became %v, %v mm off", ring, e, off)
					}
				}
			}
			if turned < 5 {
				t.Fatalf("%v: %v of %v is left", ring, turned, ring.Sweep.Radians())
			}
		}
	}
}
