package linework

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// all lists what faces within reach.
func all(l *Lines, reach float64) []Facing {
	var out []Facing
	if err := l.Facings(context.Background(), reach, func(a, b *Line) float64 { return reach }, func(f Facing) { out = append(out, f) }); err != nil {
		panic(err)
	}
	return out
}

// least is the smallest gap, infinite when nothing faces.
func least(fs []Facing) float64 {
	gap := math.Inf(1)
	for _, f := range fs {
		gap = math.Min(gap, f.Gap)
	}
	return gap
}

// Law: two round windows face at the distance of their centres less their
// radii, with board between, wherever they lie.
func TestRoundWindows(t *testing.T) {
	rng := rand.New(rand.NewSource(31))
	for range 60 {
		r, s, gap := 3+rng.Float64()*8, 3+rng.Float64()*8, 0.3+rng.Float64()*2.5
		turn := rng.Float64() * 2 * math.Pi
		at := geom.Pt(50, 50).Add(geom.Polar(r+s+gap, geom.Radians(turn)))
		l := lines(t, fmt.Sprintf(`
base = panel("base", rect(100, 100))
base.cut(circle(%.12f).shift(50, 50))
base.cut(circle(%.12f).shift(%.12f, %.12f))`, 2*r, 2*s, at.X, at.Y))
		fs := all(l, 3)
		if got := least(fs); math.Abs(got-gap) > 1e-4 {
			t.Fatalf("gap %g between circles of radius %g and %g, want %g", got, r, s, gap)
		}
		for _, f := range fs {
			if !f.Board || !math.IsInf(f.ArcLength, 1) {
				t.Fatalf("board between: %v, round %g", f.Board, f.ArcLength)
			}
		}
	}
}

// Law: parallel cuts face at their distance, and as far as they overlap, in
// whatever direction.
func TestParallelSlits(t *testing.T) {
	rng := rand.New(rand.NewSource(32))
	for range 60 {
		gap, length, slide := 0.3+rng.Float64()*2.5, 5+rng.Float64()*30, rng.Float64()*30
		turn := rng.Float64() * 360
		l := lines(t, fmt.Sprintf(`
base = panel("base", rect(200, 200))
base.cut(path(90, 100).by(%.12[1]f, 0).turn(%[4]g, about = (100, 100)))
base.cut(path(%.12[2]f, %.12[3]f).by(%.12[1]f, 0).turn(%[4]g, about = (100, 100)))`, length, 90+slide, 100+gap, turn))
		fs := all(l, 3)
		overlap := length - slide
		if overlap <= 0 {
			// End to end they face only where the ends are across from each other.
			continue
		}
		if len(fs) != 1 || math.Abs(fs[0].Gap-gap) > 1e-6 || math.Abs(fs[0].Beside(3)-overlap) > 1e-6 {
			t.Fatalf("%+v, want one gap of %g over %g", fs, gap, overlap)
		}
		if swapped := (Facing{A: fs[0].B, B: fs[0].A}).Beside(3); math.Abs(swapped-overlap) > 1e-6 {
			t.Fatalf("overlap %g seen from the other side", swapped)
		}
	}
}

// Law: what a facing says is so: its two points lie on its two lines, as far
// apart as it says, and no points near these lie closer by more than a tenth.
func TestFacingsAreTrue(t *testing.T) {
	rng := rand.New(rand.NewSource(33))
	seen := 0
	for range 80 {
		high := 30 + rng.Float64()*6
		score := 31 + high/2 + rng.Float64()*2
		l := lines(t, fmt.Sprintf(`
base = panel("base", rect(100, 60))
base.cut(oval(40, %g).shift(22, 30))
base.cut(rect(10, 20, round = 4).turn(%g).shift(%g, 18))
base.score(path(0, %g).line(100, %g))`, high, rng.Float64()*5, 46+rng.Float64(), score, score+rng.Float64()))
		for _, f := range all(l, 4) {
			seen++
			tp, dp := f.A.Nearest(f.P)
			tq, dq := f.B.Nearest(f.Q)
			if dp > 1e-9 || dq > 1e-9 || math.Abs(f.P.Dist(f.Q)-f.Gap) > 1e-9 {
				t.Fatalf("%+v: %g and %g off its lines", f, dp, dq)
			}
			for _, d := range []float64{-0.01, 0.01} {
				if p := f.A.At(math.Max(0, math.Min(1, tp+d))); p.Dist(f.Q) < f.Gap*0.9-1e-9 {
					t.Fatalf("%+v: %g from %v", f, p.Dist(f.Q), p)
				}
				if q := f.B.At(math.Max(0, math.Min(1, tq+d))); q.Dist(f.P) < f.Gap*0.9-1e-9 {
					t.Fatalf("%+v: %g from %v", f, q.Dist(f.P), q)
				}
			}
		}
	}
	if seen < 50 {
		t.Errorf("only %d facings seen", seen)
	}
}

// wedge has a slit from (10, 20) to (50, 20), and above it one that comes down
// to (30, 22) at an angle of lean to it and goes on down at an angle of turn, past
// the place nearest to (30, 20). It gives what faces of the slit and the line that
// leans.
func wedge(t *testing.T, lean, turn float64) []Facing {
	t.Helper()
	const gap = 2
	tan, next := math.Tan(lean), 1.05*gap*math.Sin(turn)
	l := lines(t, fmt.Sprintf(`
base = panel("base", rect(60, 40))
base.cut(path(10, 20).line(50, 20))
base.cut(path(20, %.12f).line(30, 22).line(%.12f, %.12f))`, 20+gap+10*tan, 30+next*math.Cos(turn), 20+gap-next*math.Sin(turn)))
	first := func(line *Line) float64 { return math.Round(math.Min(line.P.X, line.Q.X)) }
	var out []Facing
	reach := func(a, b *Line) float64 {
		if first(a)+first(b) == 10+20 && a.Role == Slit && b.Role == Slit {
			return 3
		}
		return 0
	}
	if err := l.Facings(t.Context(), 3, reach, func(f Facing) { out = append(out, f) }); err != nil {
		t.Fatal(err)
	}
	return out
}

// Law: two lines that lean to one another face along the way if and only if the
// tangent of the angle between them is at most 1/10, where the nearer end is
// none of theirs: the line that goes on there comes much nearer.
func TestFacingLean(t *testing.T) {
	rng := rand.New(rand.NewSource(34))
	for i := range 120 {
		tan := 0.5 * rng.Float64()
		if i%2 == 0 {
			tan = 0.1 + (rng.Float64()-0.5)*0.02
		}
		if math.Abs(tan-0.1) < 1e-6 {
			continue
		}
		fs := wedge(t, math.Atan(tan), 80*math.Pi/180)
		if got, want := len(fs) == 1, tan < 0.1; got != want {
			t.Fatalf("lines that lean by a tangent of %g face: %v, want %v", tan, got, want)
		}
	}
}

// Law: an end is the place where two lines face if and only if the line that
// goes on there comes no nearer than 9/10 of the gap. It comes as near as the
// cosine of its turn.
func TestFacingEnd(t *testing.T) {
	rng := rand.New(rand.NewSource(35))
	for i := range 120 {
		cos := 0.4 + 0.6*rng.Float64()
		if i%2 == 0 {
			cos = 0.9 + (rng.Float64()-0.5)*0.02
		}
		if math.Abs(cos-0.9) < 1e-6 {
			continue
		}
		fs := wedge(t, 0.5+0.3*rng.Float64(), math.Acos(cos))
		if got, want := len(fs) == 1, cos > 0.9; got != want {
			t.Fatalf("an end before a turn with a cosine of %g faces: %v, want %v", cos, got, want)
		}
		if len(fs) == 1 && math.Abs(fs[0].Gap-2) > 1e-9 {
			t.Fatalf("a gap of %g, want 2", fs[0].Gap)
		}
	}
}

func TestWhatLiesBetween(t *testing.T) {
	for name, c := range map[string]struct {
		text  string
		gap   float64
		board bool
	}{
		"window and rim":    {`base.cut(rect(20, 10).shift(20, 28))`, 2, true},
		"across a slot":     {`base.cut(rect(20, 1.5).shift(20, 20))`, 1.5, false},
		"slit and rim":      {`base.cut(path(20, 38.5).line(40, 38.5))`, 1.5, true},
		"two slits":         {`base.cut(path(20, 20).line(40, 20))` + "\n" + `base.cut(path(20, 21).line(40, 21))`, 1, true},
		"window and crease": {"panel(\"lid\", rect(60, 30), on = base.top)\n" + `base.cut(rect(20, 10).shift(20, 28.5))`, 1.5, true},
	} {
		fs := all(lines(t, "base = panel(\"base\", rect(60, 40))\n"+c.text), 3)
		if len(fs) != 1 || math.Abs(fs[0].Gap-c.gap) > 1e-9 || fs[0].Board != c.board || fs[0].Slant > 1e-9 {
			t.Errorf("%s: %+v, want one gap of %g, board %v", name, fs, c.gap, c.board)
		}
	}
}

// Lines that touch, lean away or only come near at a corner do not face.
func TestWhatDoesNotFace(t *testing.T) {
	for name, text := range map[string]string{
		"a corner":            `base.cut(rect(20, 10).shift(20, 20))`,
		"a slit on the rim":   `base.cut(path(30, 40).line(31, 20))`,
		"slits that cross":    "base.cut(path(20, 20).line(40, 21))\nbase.cut(path(20, 21).line(40, 20))",
		"a slit on a slit":    "base.cut(path(20, 20).line(40, 20))\nbase.cut(path(30, 20).line(38, 22))",
		"a slit on a crease":  "panel(\"lid\", rect(60, 30), on = base.top)\nbase.cut(path(30, 20).line(30, 40))",
		"a slot on a crease":  "panel(\"lid\", rect(60, 30), on = base.top)\nbase.cut(rect(8, 20).shift(20, 20))",
		"a slit over a hinge": "panel(\"lid\", rect(60, 30), on = base.top)\nbase.cut(path(30, 20).line(30, 41))",
	} {
		if fs := all(lines(t, "base = panel(\"base\", rect(60, 40))\n"+text), 3); len(fs) != 0 {
			t.Errorf("%s: %+v", name, fs)
		}
	}
}

// A step in the rim has its sides face too; how short the way round is tells
// it from a web.
func TestTheWayRound(t *testing.T) {
	l := lines(t, `base = panel("base", polygon([(0, 0), (60, 0), (60, 40), (32, 40), (32, 43), (30, 43), (30, 40), (0, 40)]))`)
	fs := all(l, 2.5)
	if len(fs) != 1 || math.Abs(fs[0].Gap-2) > 1e-9 || !(fs[0].ArcLength >= 2 && fs[0].ArcLength <= 2+2*3) {
		t.Errorf("%+v, want one gap of 2 with at most 8 round", fs)
	}
}

// Lines meet at whichever ends coincide, and not where an end lies along the other.
func TestMeetAtEnds(t *testing.T) {
	o, a, b := geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(0, 10)
	line := func(p, q geom.Point) *Line { return &Line{Curve: geom.LineFrom(p, q)} }
	for _, x := range []*Line{line(o, a), line(a, o)} {
		for _, y := range []*Line{line(o, b), line(b, o)} {
			if !meetAtEnds(x, y) {
				t.Errorf("%v and %v do not meet", x.Curve, y.Curve)
			}
		}
		if y := line(geom.Pt(5, 0), b); meetAtEnds(x, y) {
			t.Errorf("%v and %v meet", x.Curve, y.Curve)
		}
	}
}

// By hand, on two sides of a square of 10 mm: from 2 mm along the first to 3 mm
// along the third it is 21 mm one way round and 19 mm the other.
func TestArcLengthByHand(t *testing.T) {
	a := &Line{Curve: geom.LineFrom(geom.Pt(0, 0), geom.Pt(10, 0))}
	b := &Line{Curve: geom.LineFrom(geom.Pt(10, 10), geom.Pt(0, 10)), from: 20}
	other := &Line{Curve: b.Curve, from: 20, stroke: 1}
	for _, c := range []struct {
		closed bool
		b      *Line
		t      float64
		want   float64
	}{{false, b, 0.3, 21}, {true, b, 0.3, 19}, {false, b, 0, 18}, {true, other, 0.3, math.Inf(1)}} {
		l := &Lines{strokes: []blank.Stroke{{Closed: c.closed}, {}}, lengths: []float64{40, 40}}
		if got := l.arcLength(a, c.b, 0.2, c.t); got != c.want && !(math.Abs(got-c.want) < 1e-9) {
			t.Errorf("closed %t, to %g: %g mm, want %g", c.closed, c.t, got, c.want)
		}
	}
}

// Along concentric arcs Beside is the length of arc: exactly so where just half of
// one lies beside the other, as the samples are even about the middle.
func TestBesideArcs(t *testing.T) {
	arc := func(r, from, sweep float64) *Line {
		return &Line{Curve: geom.ArcFrom(geom.Polar(r, geom.Radians(from)), geom.Point{}, geom.Radians(sweep))}
	}
	f := Facing{A: arc(30, 0, math.Pi), B: arc(31, math.Pi/2, math.Pi)}
	if got, want := f.Beside(1.5), 30*math.Pi/2; math.Abs(got-want) > 1e-9 {
		t.Errorf("beside over %g, want %g", got, want)
	}
	if got := f.Beside(0.9); got != 0 {
		t.Errorf("beside over %g within less than the distance", got)
	}
	// A line under a bow of 30 mm about a point 31 mm over it is within 2 mm of the
	// bow where x² + 31² < 32².
	flat := &Line{Curve: geom.LineFrom(geom.Pt(-40, 0), geom.Pt(40, 0))}
	bow := &Line{Curve: geom.ArcFrom(geom.Pt(-30, 31), geom.Pt(0, 31), geom.Radians(math.Pi))}
	if got, want := (Facing{A: flat, B: bow}).Beside(2), 2*math.Sqrt(63); math.Abs(got-want) > 80.0/64 {
		t.Errorf("beside a bow over %g, want %g", got, want)
	}
}

// Straight lines that lean to each other are beside as far as they are within
// reach: with a slope of 1 in 20 and 1 mm to begin with, 2 mm are reached
// after 20 mm of the flatter one's length.
func TestBesideLeaningLines(t *testing.T) {
	a := &Line{Curve: geom.LineFrom(geom.Pt(0, 0), geom.Pt(40, 2))}
	b := &Line{Curve: geom.LineFrom(geom.Pt(-5, -1), geom.Pt(60, -1))}
	got := Facing{A: b, B: a}.Beside(2)
	if want := 20.0; math.Abs(got-want) > 0.1 {
		t.Errorf("beside over %g, want %g", got, want)
	}
}

// Laws: looking for facing lines and parts stops wherever the context ends.
func TestLooksStop(t *testing.T) {
	laid, _, err := blank.Lay(t.Context(), modeltest.Tree(rand.New(rand.NewSource(5)), 150, geom.Identity()).Piece, nil)
	if err != nil {
		t.Fatal(err)
	}
	reach := func(*Line, *Line) float64 { return 3 }
	canceltest.Stops(t, func(ctx context.Context) error {
		lines, err := New(ctx, laid)
		if err != nil {
			return err
		}
		return lines.Facings(ctx, 3, reach, func(Facing) {})
	})
	lines, err := New(t.Context(), laid)
	if err != nil {
		t.Fatal(err)
	}
	lines.strokes[0].Closed = false // as if a slit could part it
	canceltest.Stops(t, func(ctx context.Context) error {
		_, err := lines.Parts(ctx)
		return err
	})
}
