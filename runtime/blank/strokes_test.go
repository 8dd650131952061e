package blank

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// Counts by hand: 103 mm takes 25 ties of 1 mm and 26 cuts of 3 mm, exactly;
// 100 mm takes 24 ties, as (100 − 3)/4 rounds to 24, and 25 cuts of 3.04 mm.
func TestPerforationCounts(t *testing.T) {
	usual := Perforation{Cut: 3, Tie: 1}
	for _, c := range []struct {
		p            Perforation
		run          float64
		closed       bool
		cuts, length float64
	}{
		{usual, 103, false, 26, 3},
		{usual, 100, false, 25, 3.04},
		{usual, 3, false, 1, 3},
		{usual, 4, false, 1, 4},
		{HingePerforation(), 4, false, 2, 1.5},
		{HingePerforation(), 2, false, 1, 2},
		{HingePerforation(), 103, false, 26, 3},
		{usual, 100, true, 25, 3},
		{usual, 101, true, 25, 3.04},
		{usual, 102, false, 25, 3.12},
		{usual, 103.9, true, 25, 3.156},
		{usual, 6.9, false, 1, 6.9},
		{usual, 7, false, 2, 3},
		{usual, 1, true, 1, 1},
		{Perforation{Cut: 10, Tie: 0.5}, 52, false, 5, 10},
	} {
		cuts, length := c.p.fit(c.run, c.closed)
		if ties := c.run - cuts*length; math.Abs(c.p.Ties(c.run, c.closed)-ties) > 1e-12 || ties < -1e-12 {
			t.Errorf("%+v over %g mm: ties of %g", c.p, c.run, c.p.Ties(c.run, c.closed))
		}
		if cuts != c.cuts || math.Abs(length-c.length) > 1e-12 {
			t.Errorf("%+v over %g mm: %g cuts of %g, want %g of %g", c.p, c.run, cuts, length, c.cuts, c.length)
		}
	}
}

// Laws: a run begins and ends with a cut; all cuts are of one length, all ties
// of the length asked for, measured along the run round its corners; and no cut is
// shorter than asked for, nor so much longer that another would find room.
func TestPerforationLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 200 {
		run := crookedRun(rng)
		total := Stroke{Curves: run}.Length()
		p := Perforation{Cut: 1 + 4*rng.Float64(), Tie: 0.3 + rng.Float64()}
		strokes := p.perforate(run, false)
		length, sum := strokes[0].Length(), 0.0
		for _, s := range strokes {
			if math.Abs(s.Length()-length) > 1e-6 {
				t.Fatalf("cuts of %g and %g mm in one run", length, s.Length())
			}
			sum += s.Length()
		}
		if ties := float64(len(strokes)-1) * p.Tie; math.Abs(sum+ties-total) > 1e-6 {
			t.Fatalf("cuts %g and ties %g do not make %g mm", sum, ties, total)
		}
		last := strokes[len(strokes)-1].Curves
		if strokes[0].Curves[0].P != run[0].P || last[len(last)-1].Q != run[len(run)-1].Q {
			t.Fatalf("the run does not begin and end with a cut")
		}
		n := float64(len(strokes))
		if total >= p.Cut && length < p.Cut-geom.Tiny || n*(length-p.Cut) > p.Cut+p.Tie+1e-6 {
			t.Errorf("%g cuts of %g mm where %g were asked for, ties of %g", n, length, p.Cut, p.Tie)
		}
	}
}

// crookedRun is a random chain of a line, an arc, a cubic and a line.
func crookedRun(rng *rand.Rand) []geom.Curve {
	far := func(p geom.Point) geom.Point {
		return p.Add(geom.Polar(5+20*rng.Float64(), geom.Radians(7*rng.Float64())))
	}
	a := geom.Pt(1, 2)
	b := far(a)
	arc := geom.ArcFrom(b, far(b), geom.Radians(1+2*rng.Float64()))
	c := far(arc.Q)
	return []geom.Curve{geom.LineFrom(a, b), arc, geom.CubicFrom(arc.Q, far(arc.Q), far(c), c), geom.LineFrom(c, far(c))}
}

// Round a closed run there are as many ties as cuts, and a cut may bend round
// a corner.
func TestClosedPerforation(t *testing.T) {
	ring := modeltest.Rect(0, 0, 11, 9).Curves()
	strokes := Perforation{Cut: 3, Tie: 1}.perforate(ring, true)
	if len(strokes) != 10 {
		t.Fatalf("%d cuts round 40 mm, want 10", len(strokes))
	}
	if bent := strokes[2].Curves; len(bent) != 1 || bent[0].P != geom.Pt(8, 0) || bent[0].Q != geom.Pt(11, 0) {
		t.Errorf("third cut %v, want (8, 0) to (11, 0)", bent)
	}
	corner := Perforation{Cut: 3, Tie: 2}.perforate(ring, true)[2].Curves
	if len(corner) != 2 || corner[0].P.Dist(geom.Pt(10, 0)) > 1e-12 || corner[1].Q.Dist(geom.Pt(11, 2)) > 1e-12 {
		t.Errorf("the cut from 10 to 13 mm is %v", corner)
	}
}

// LengthFor is the least: a run of it has as much board in its ties as asked for,
// and one a hundredth shorter has not, but for the first tie, which a hinge keeps
// however short it is.
func TestLengthForTies(t *testing.T) {
	for _, ties := range []float64{1.5, 2, 3, 4.5} {
		for _, p := range []Perforation{HingePerforation(), {Cut: 2, Tie: 0.8}} {
			l := p.LengthFor(ties)
			if got := p.Ties(l, false); got < ties-1e-9 || p.Ties(l-0.01, false) >= ties {
				t.Errorf("%+v: %g mm have ties of %g, want %g; a hundredth less has %g", p, l, got, ties, p.Ties(l-0.01, false))
			}
		}
	}
}
