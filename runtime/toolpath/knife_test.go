package toolpath

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// onLine is how far, in mm, a blade's tip may be off the line that it is to cut (the contract's
// figure; common practice, no source).
const onLine = 0.02

func knifeOf(d, swivel float64) board.Tool {
	return board.Tool{Kind: board.Knife, Offset: d, Swivel: geom.Degrees(swivel).Angle(), Compensate: true}
}

// Law: the tip of a blade that is dragged along the written way has been where the line is, and nowhere
// else, whatever the line; on swings it turns one way only. The blade comes down with any heading
// that is known.
func TestTipFollowsRandomLines(t *testing.T) {
	worst := 0.0
	for seed := range int64(500) {
		rnd := rand.New(rand.NewSource(seed))
		line := randomChain(rnd)
		tool := knifeOf(0.15+rnd.Float64()*0.8, rnd.Float64()*40)
		heading := geom.Polar(1, geom.Radians(rnd.Float64()*7))
		moves := knifePath(line, tool, heading)
		b := blade{d: tool.Offset, theta: heading.Angle().Radians()}
		b.down(line[0].P.Add(heading.Mul(tool.Offset)))
		if gap := moves[0].P.Dist(b.at); gap > 2*geom.SnapTolerance {
			t.Fatalf("seed %d: starts %v mm from where the blade comes down", seed, gap)
		}
		for i, m := range moves {
			if i > 0 && m.P != moves[i-1].Q {
				t.Fatalf("seed %d: move %d does not begin where the one before ends", seed, i)
			}
			least, most := b.drag(m.Curve, tool.Offset/40)
			if m.Swing && !(least > 1 && most < 2.2 || least > -2.2 && most < -1) {
				t.Errorf("seed %d: in swing %d the blade stands at %v to %v rad to the way", seed, i, least, most)
			}
		}
		off := offBy(b.tip, points(line))
		worst = max(worst, off)
		if off > knifeError+5e-4 { // steps of the integration
			t.Errorf("seed %d: off by %.4f mm with d = %.3f, swivel %v", seed, off, tool.Offset, tool.Swivel)
		}
	}
	t.Logf("worst %.5f mm", worst)
}

// Closed forms for the blade of these tests itself (derived from the equation): dragged round a
// circle of radius R it cuts one of √(R² − d²), and after a corner of 90° it has come to within 1°
// of the way after 4.74 d, within 0.5° after 5.43 d.
func TestBladeClosedForms(t *testing.T) {
	const d, r = 0.5, 3.0
	b := blade{d: d, theta: 2}
	b.down(geom.Pt(r, 0))
	circle := geom.ArcFrom(geom.Pt(r, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	for range 3 {
		b.drag(circle, d/200)
	}
	if got := b.edge(b.at).Len(); math.Abs(got-math.Sqrt(r*r-d*d)) > 1e-5 {
		t.Errorf("uncompensated circle: %v", got)
	}
	for _, v := range []struct{ within, after float64 }{{1, 4.74}, {0.5, 5.43}} {
		b := blade{d: d, theta: math.Pi / 2}
		b.drag(geom.LineFrom(geom.Pt(0, 0), geom.Pt(v.after*d, 0)), d)
		if got := b.theta * 180 / math.Pi; math.Abs(got-v.within) > 0.01 {
			t.Errorf("%v° left after %v d", got, v.after)
		}
	}
}

// The axis in the cases with a closed form: a line is shifted by d, an arc becomes one of
// √(R² + d²) about the same centre, ahead by atan(d/R) (cnczone.com/forums/coding/71521), a
// corner an arc of d about it.
func TestKnifePathClosedForms(t *testing.T) {
	const d = 0.25
	circle := geom.ArcFrom(geom.Pt(10, 0), geom.Pt(7, 0), geom.Radians(2*math.Pi))
	moves := knifePath([]geom.Curve{circle}, knifeOf(d, 20), geom.Point{})
	c := moves[0]
	ahead := c.P.Sub(circle.C).Angle().Radians()
	if len(moves) != 1 || c.Kind != geom.Arc || c.C != circle.C || c.P != c.Q || c.Sweep != circle.Sweep ||
		math.Abs(c.R-math.Sqrt(9+d*d)) > 1e-12 || math.Abs(ahead-math.Atan(d/3)) > 1e-12 {
		t.Errorf("circle: %+v", moves)
	}
	square := chainOf(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10), geom.Pt(0, 10), geom.Pt(0, 0))
	moves = knifePath(square, knifeOf(d, 20), geom.Point{})
	if len(moves) != 7 {
		t.Fatalf("square: %d moves", len(moves))
	}
	for i, m := range moves {
		if want := i%2 == 1; m.Swing != want || (m.Kind == geom.Arc) != want {
			t.Errorf("square, move %d: %v, swing %v", i, m.Kind, m.Swing)
		}
		if m.Swing && (m.C != square[i/2].Q || math.Abs(m.R-d) > 1e-12 || math.Abs(m.Sweep.Radians()-math.Pi/2) > 1e-12) {
			t.Errorf("square, move %d: %+v", i, m)
		}
	}
	if moves[0].P.Dist(geom.Pt(d, 0)) > 1e-12 || moves[0].Q.Dist(geom.Pt(10+d, 0)) > 1e-12 {
		t.Errorf("square begins with %+v", moves[0])
	}
}

// Corners up to the swivel angle are no swings and are led all the same: straight where that
// pushes the tip back by no more than knifeError, on the arc of d where it would be more.
func TestCornersBelowTheSwivelAngle(t *testing.T) {
	for _, test := range []struct {
		d, turn float64
		kind    geom.Kind
		swing   bool
	}{
		{0.25, 0.05, geom.Line, false},
		{0.25, 10, geom.Line, false},
		{0.25, 19.9, geom.Arc, false}, // 0.25·(1 − cos 9.95°) = 0.0038 mm
		{0.25, 20.1, geom.Arc, true},
		{2, 19.9, geom.Arc, false},
		{2, 0.5, geom.Line, false},
	} {
		corner := chainOf(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 0).Add(geom.Polar(10, geom.Degrees(test.turn).Angle())))
		moves := knifePath(corner, knifeOf(test.d, 20), geom.Point{})
		switch {
		case test.d*test.turn*math.Pi/180 < geom.SnapTolerance:
			if len(moves) != 2 {
				t.Errorf("%+v: %d moves", test, len(moves))
			}
		case len(moves) != 3 || moves[1].Kind != test.kind || moves[1].Swing != test.swing:
			t.Errorf("%+v: %+v", test, moves)
		}
		b := blade{d: test.d}
		b.run(moves)
		if off := offBy(b.tip, points(corner)); off > knifeError+1e-4 {
			t.Errorf("%+v: off by %v", test, off)
		}
	}
}

// A cubic with a cusp is cut into it and out of it, the blade turned about on the spot; one that
// runs straight back is, too.
func TestCuspsAreSwings(t *testing.T) {
	for _, c := range []geom.Curve{
		geom.CubicFrom(geom.Pt(0, 0), geom.Pt(10, 10), geom.Pt(0, 10), geom.Pt(10, 0)), // cusp at 1/2
		geom.CubicFrom(geom.Pt(0, 0), geom.Pt(12, 0), geom.Pt(-6, 0), geom.Pt(3, 0)),   // on one line
	} {
		moves := knifePath([]geom.Curve{c}, knifeOf(0.4, 20), geom.Point{})
		turned := 0.0
		for _, m := range moves {
			if m.Swing {
				turned += m.Sweep.Abs().Radians()
			}
		}
		if math.Abs(math.Mod(turned+1, math.Pi)-1) > 0.05 || turned < 3 {
			t.Errorf("%v: swings by %v rad", c, turned)
		}
	}
}

// chainOf is straight lines from point to point.
func chainOf(pts ...geom.Point) []geom.Curve {
	var out []geom.Curve
	for i := 1; i < len(pts); i++ {
		out = append(out, geom.LineFrom(pts[i-1], pts[i]))
	}
	return out
}
