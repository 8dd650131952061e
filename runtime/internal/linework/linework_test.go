package linework

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/source"
)

// lines are those of the one piece that a script makes from panel "base"; the
// lines for card and piece are added.
func lines(t testing.TB, text string) *Lines {
	t.Helper()
	text = "card = board(\"card\", caliper = 0.4)\n" + text + "\npiece(\"piece\", base, board = card)\n"
	store := source.NewStore(func(string) ([]byte, error) { return []byte(text), nil })
	d, faults := script.Run(context.Background(), store, "case.star", script.Options{})
	if d == nil {
		t.Fatal(faults)
	}
	return laid(t, d)
}

func laid(t testing.TB, d *model.Design) *Lines {
	t.Helper()
	b, faults, _ := blank.Lay(context.Background(), d.Pieces[0], d.Poses)
	for _, f := range faults {
		t.Fatal(f)
	}
	l, err := New(t.Context(), b)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// lengths adds up the lines by role.
func lengths(l *Lines) (by [3]float64) {
	for i := range l.All {
		by[l.All[i].Role] += l.All[i].Length()
	}
	return by
}

func TestRoles(t *testing.T) {
	l := lines(t, `
base = panel("base", rect(60, 40))
panel("lid", rect(60, 30), on = base.top)
panel("side", rect(20, 40), on = base.left, line = "plain", fold = -90)
panel("fixed", rect(20, 40), on = base.right, fold = 0)
base.cut(rect(10, 5).shift(20, 20))
base.cut(path(20, 10).line(40, 10))
base.score(path(0, 15).line(60, 15), line = "back-score")
base.perforate(path(0, 30).line(60, 30))
base.draw(path(0, 5).line(60, 5))`)
	// By hand: the rim is that of a cross, 100 × 40 and 60 × 30 on top, and the
	// window's; creases are lid, side and the score, not the hinge that never
	// folds.
	want := [3]float64{2*(100+70) + 30, 20, 60 + 40 + 60}
	if got := lengths(l); !close3(got, want) {
		t.Errorf("rim, slits, creases %.6f, want %.6f", got, want)
	}
	leans := map[string]int{}
	for i := range l.All {
		line := &l.All[i]
		switch {
		case line.Hinge != nil:
			leans[line.Hinge.Name] = line.FoldSide()
		case line.Score != nil:
			leans["score"] = line.FoldSide()
		}
		if line.IsCut() != (line.Role != Crease) {
			t.Errorf("%+v cuts: %v", line, line.IsCut())
		}
	}
	if len(leans) != 3 || leans["lid"] != 1 || leans["side"] != 0 || leans["score"] != -1 {
		t.Errorf("leans %v", leans)
	}
}

func close3(a, b [3]float64) bool {
	for i := range a {
		if math.Abs(a[i]-b[i]) > 1e-6 {
			return false
		}
	}
	return true
}

// Law: on random trees of panels cuts and creases are as long as the tree's
// figures say, wherever it lies.
func TestLengthsOfRandomTrees(t *testing.T) {
	rng := rand.New(rand.NewSource(21))
	for range 40 {
		m := geom.Rotation(geom.Radians(rng.Float64()*7), geom.Pt(3, 4)).Then(geom.Translation(rng.Float64()*100, 20))
		k := modeltest.Tree(rng, 2+rng.Intn(40), m)
		by := lengths(laid(t, k.Design))
		if cut := by[Rim] + by[Slit]; math.Abs(cut-k.Cut) > 1e-6 || math.Abs(by[Crease]-k.Hinged) > 1e-6 {
			t.Fatalf("cut %g, want %g; creased %g, want %g", cut, k.Cut, by[Crease], k.Hinged)
		}
	}
}

// A slit that comes back to its start is closed like a rim, and is a slit all
// the same: board lies on both its sides.
func TestAClosedSlitIsNoRim(t *testing.T) {
	l := lines(t, `
base = panel("base", rect(60, 40))
base.cut(path(10, 10).line(30, 10).line(30, 30).line(10, 30).line(10, 10))
base.cut(circle(10).shift(45, 20))`)
	if got, want := lengths(l), [3]float64{200 + 10*math.Pi, 80, 0}; !close3(got, want) {
		t.Errorf("rim, slits, creases %.6f, want %.6f", got, want)
	}
}

// Neighbours on a stroke share an end.
func TestNeighboursTouch(t *testing.T) {
	l := lines(t, `
base = panel("base", rect(60, 40, round = 5))
base.cut(path(10, 10).line(30, 10).line(30, 30))
base.score(path(40, 10).line(50, 10).line(50, 20).line(40, 10))`)
	runsOn := 0
	for i := range l.All {
		a := &l.All[i]
		if a.next >= 0 {
			runsOn++
			if b := &l.All[a.next]; !coincident(a.Q, b.P) || b.prev != i {
				t.Errorf("line %d ends at %v, the next begins at %v", i, a.Q, b.P)
			}
		}
	}
	if want := 8 + 1 + 2; runsOn != want {
		t.Errorf("%d lines run on, want %d", runsOn, want)
	}
}

func TestSpots(t *testing.T) {
	l := lines(t, `
base = panel("base", rect(60, 40))
lid = panel("lid", rect(60, 30), on = base.top)
base.cut(circle(10).shift(30, 20))
base.cut(path(5, 5).line(20, 5))
base.score(path(5, 10).line(20, 10))`)
	for _, c := range []struct {
		at   geom.Point
		want string
		line int // of the script
	}{
		{geom.Pt(35, 20), `the window in "base"`, 4},
		{geom.Pt(10, 5), `the slit in "base"`, 5},
		{geom.Pt(10, 10), `the score in "base"`, 6},
		{geom.Pt(60, 10), `edge "right" of "base"`, 2},
		{geom.Pt(10, 70), `edge "top" of "lid"`, 3},
		{geom.Pt(3, 30), "a cut", 0},
	} {
		s := l.FeatureAt(c.at)
		if got := s.String(); got != c.want || s.Site().First().Line != c.line+1 && c.line > 0 {
			t.Errorf("at %v: %s at %v, want %s in line %d", c.at, got, s.Site(), c.want, c.line+1)
		}
	}
}

// Law: a point inside a panel's outline of a tree without overlaps is on that
// panel's board, one far out on none, and windows take points away.
func TestPanelAt(t *testing.T) {
	rng := rand.New(rand.NewSource(41))
	for range 20 {
		k := modeltest.Tree(rng, 1+rng.Intn(40), geom.Rotation(geom.Radians(rng.Float64()), geom.Point{}))
		l := laid(t, k.Design)
		for _, p := range k.Piece.Panels {
			mid := p.Outline.Bounds().Mid()
			if got := l.PanelAt(p.Flat.Apply(mid)); p.Outline.Contains(mid) && got != p {
				t.Fatalf("the middle of %s lies on %v", p.Name, got)
			}
		}
		if got := l.PanelAt(geom.Pt(1e4, 1e4)); got != nil {
			t.Fatalf("nowhere lies on %s", got.Name)
		}
	}
	l := lines(t, "base = panel(\"base\", rect(60, 40))\nbase.cut(circle(10).shift(30, 20))")
	if got := l.PanelAt(geom.Pt(30, 20)); got != nil {
		t.Errorf("the middle of the window lies on %s", got.Name)
	}
}

// BenchmarkFacings lists the lines of random trees of panels and looks for
// those that run close.
func BenchmarkFacings(b *testing.B) {
	for n := 10; n <= 10000; n *= 10 {
		k := modeltest.Tree(rand.New(rand.NewSource(1)), n, geom.Identity())
		laid, _, _ := blank.Lay(context.Background(), k.Piece, k.Design.Poses)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				lines, err := New(b.Context(), laid)
				if err != nil {
					b.Fatal(err)
				}
				_ = lines.Facings(b.Context(), 3, func(*Line, *Line) float64 { return 3 }, func(Facing) {})
			}
		})
	}
}

// Law: an offset point lies four snap tolerances off the middle of a line, an arc or a
// cubic, on the side asked for, however the curve winds elsewhere.
func TestOffsetPoint(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	at := func() geom.Point { return geom.Pt(100*rng.Float64(), 100*rng.Float64()) }
	for range 200 {
		for _, c := range []geom.Curve{
			geom.LineFrom(at(), at()), geom.ArcFrom(at(), at(), geom.Radians(6*rng.Float64()-3)), geom.CubicFrom(at(), at(), at(), at()),
		} {
			for _, side := range []float64{-1, 1} {
				off := offsetPoint(c, side).Sub(c.At(0.5))
				if d := c.Tangent(0.5); math.Abs(off.Dot(d)) > 1e-9 || math.Abs(d.Cross(off)-side*4*geom.SnapTolerance) > 1e-9 {
					t.Fatalf("%v: the point on side %g is %v off its middle", c, side, off)
				}
			}
		}
	}
}
