package contact

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: of two round holes of glued layers, with radii r and s and centres d apart,
// the lesser of what each reaches beyond the other is d − |r − s|, and nothing is
// left of it when one is moved by its Shift, which is d long; where the larger
// holds the smaller, or they do not meet, there is nothing to tell.
func TestRoundHoles(t *testing.T) {
	rng := rand.New(rand.NewSource(51))
	told := 0
	for range 150 {
		r, s := 3+6*rng.Float64(), 3+6*rng.Float64()
		x, y := 12*rng.Float64()-6, 12*rng.Float64()-6
		fold, side := 180, "inside"
		if rng.Intn(2) == 0 {
			fold, side = -180, "outside"
		}
		f := fromScript(t, fmt.Sprintf(`base = panel("base", rect(80, 60))
over = panel("over", rect(80, 58), on = base.top, fold = %d)
glue(over, base, side = %q)
base.cut(circle(%g).shift(40, 30))
over.cut(circle(%g).shift(%g, %g))
piece("leaf", base, board = card)
`, fold, side, 2*r, 2*s, 40+x, 30+y))
		found, err := f.closed().HolesApart(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		d := math.Hypot(x, y)
		if d < math.Abs(r-s)+geom.SnapTolerance || d > r+s-0.02 {
			if len(found) > 0 {
				t.Errorf("radii %g and %g, %g apart: %+v", r, s, d, found)
			}
			continue
		}
		told++
		if len(found) != 1 {
			t.Fatalf("radii %g and %g, %g apart: %d found", r, s, d, len(found))
		}
		m := found[0]
		near(t, "depth", m.Depth, d-math.Abs(r-s), 3*Flatten)
		near(t, "aligned", m.Aligned, 0, 3*Flatten)
		near(t, "shift of over", m.A.Shift.Dist(geom.Pt(-x, -y)), 0, Flatten)
		near(t, "shift of base", m.B.Shift.Dist(geom.Pt(x, -y)), 0, Flatten)
		if a, b := m.A, m.B; !a.Whole || !b.Whole || len(a.Windows) != 1 || a.Windows[0].Panel.Name != "over" || b.Windows[0].Panel.Name != "base" {
			t.Errorf("holes %+v", m)
		}
		near(t, "bare glue", m.Bare, crescent(r, s, d), 0.05*r)
	}
	if told < 60 {
		t.Errorf("only %d of 150 told", told)
	}
}

// crescent is what a circle of radius s, d off, leaves of one of radius r: its
// area less that of the lens they share (Weisstein, "Circle-Circle Intersection",
// MathWorld; value from memory).
func crescent(r, s, d float64) float64 {
	acos := func(v float64) float64 { return math.Acos(math.Max(-1, math.Min(1, v))) }
	shared := r*r*acos((d*d+r*r-s*s)/(2*d*r)) + s*s*acos((d*d+s*s-r*r)/(2*d*s)) -
		math.Sqrt(math.Max(0, (-d+r+s)*(d+r-s)*(d-r+s)*(d+r+s)))/2
	return math.Pi*r*r - shared
}

// A hole is what several windows take together, those of neighbours included; one
// that another window runs into is not whole.
func TestHolesOfSeveralWindows(t *testing.T) {
	f := fromScript(t, `base = panel("base", rect(80, 60))
over = panel("over", rect(80, 58), on = base.top, fold = 180)
side = panel("side", rect(30, 60), on = base.right, fold = 90)
glue(over, base)
base.cut(rect(20, 10).shift(30, 30))
base.cut(rect(10, 20).shift(35, 25))
side.cut(rect(20, 10).shift(-10, 30))
base.cut(rect(5, 5).shift(5, 5))
over.cut(rect(20, 10).shift(33, 20))
piece("leaf", base, board = card)
`)
	p := f.closed()
	holes, err := p.holesOf(context.Background(), 0, geom.Identity(), p.windowsLaid())
	if err != nil {
		t.Fatal(err)
	}

	if len(holes) != 3 {
		t.Fatalf("%d holes", len(holes))
	}
	for _, h := range holes {
		n, area, whole := 1, 25.0, true
		switch {
		case h.Centre.X > 60:
			area, whole = 100, false
		case h.Centre.X > 20:
			n, area, whole = 2, 300, false
		}
		if len(h.Windows) != n || math.Abs(h.Area-area) > 1e-9 || h.Whole != whole {
			t.Errorf("hole %+v", h.Hole)
		}
	}
	if found, err := p.HolesApart(context.Background()); err != nil || len(found) != 1 || len(found[0].B.Windows) != 2 {
		t.Errorf("%v, %+v", err, found)
	}
}
