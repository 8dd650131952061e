package fold

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/model"
)

// Given folds that hardly turn anything leave a gap under OpenLimit whatever they
// are. What counts then is the share of the gap that the free folds cannot make
// up for: 11 % is an open loop, 2 % is rounding.
func TestOpenShareOfSmallFolds(t *testing.T) {
	for far, kind := range map[string]FaultKind{"-0.02": LoopOpen, "-0.04": 0xff} {
		p := cornerOf(t, "0.1", "0.1", "-0.05", far, in)
		if kind != 0xff {
			if gap := p.fault("closed", kind).Gap; gap > OpenLimit {
				t.Errorf("far at %s: the gap of %g mm tells by itself", far, gap)
			}
			continue
		}
		p.sound("closed")
	}
}

// A cure closes the loop to a millionth of a millimetre: beside a crease that is
// folded by d degrees where it has to be flat, 60 mm of it rise by 60·d·π/180.
func TestCureClosesTheLoop(t *testing.T) {
	for d, cured := range map[float64]bool{3e-7: true, 3e-6: false} {
		fault := foldScript(t, fmt.Sprintf(`
root = panel("root", rect(60, 60))
b = panel("b", rect(60, 60), on = root.right, fold = 120)
c = panel("c", rect(60, 60), on = b.top, fold = %g)
d = panel("d", rect(60, 60), on = root.top, fold = 0)
hinge(c.left, d.right, fold = 110, name = "last")
`, d)).fault("closed", LoopOpen)
		if (fault.Cures != nil) != cured {
			t.Errorf("%g degrees off: cures %v", d, fault.Cures)
		}
	}
}

// Folds are found beside a given one however small it is, in the ratios of the
// vertex law: mode B of a vertex whose first crease folds 0.0395 times as far as
// the second, by the closed form and, where sectors miss it, by continuation.
func TestSmallestMove(t *testing.T) {
	for _, deg := range []float64{7e-4, 7e-5, 1e-5, 1e-7} {
		for _, off := range []float64{0, 0.1} {
			p := sheet(ring(60, 64+off, 120, 116-off), ringFolds(free(model.Out), given(deg), free(model.In), free(model.In)))
			pose := foldClosed(t, p)
			if len(pose.Faults) > 0 {
				t.Errorf("%g degrees, %g off: %+v", deg, off, pose.Faults[0])
				continue
			}
			want := -math.Sin((64-60)*math.Pi/360) / math.Sin((64+60)*math.Pi/360)
			for i, a := range pose.Angles {
				if got := float64(a.Degrees) / deg; p.Hinges[i].Fold.Free != nil && p.Hinges[i].Fold.Free.Side == model.Out && math.Abs(got-want) > 0.002 {
					t.Errorf("%g degrees, %g off: folds %g times as far, want %g", deg, off, got, want)
				}
			}
		}
	}
}

// Two solutions are one up to 1e-5 rad.
func TestSolutionsThatAreOne(t *testing.T) {
	found := addNew(nil, []float64{1, 2})
	for _, c := range []struct {
		off  float64
		want int
	}{{5e-6, 1}, {-5e-6, 1}, {2e-5, 2}, {-2e-5, 3}} {
		if found = addNew(found, []float64{1, 2 + c.off}); len(found) != c.want {
			t.Errorf("%g off: %d solutions, want %d", c.off, len(found), c.want)
		}
	}
}

// Gaps are compared as the report shows them, to 1e-9 mm: what the last bits of a
// product make of a limit decides nothing.
func TestExceedsRounds(t *testing.T) {
	for gap, want := range map[float64]bool{OpenLimit: false, OpenLimit + 4e-10: false, OpenLimit + 6e-10: true, 0: false, 1: true} {
		if exceeds(gap, OpenLimit) != want {
			t.Errorf("%.12f exceeds: %v", gap, !want)
		}
	}
}

// A fold that leaves its side by 1e-7 rad has not left it, nor one that much
// beyond a half turn; 1e-5 rad is another matter.
func TestStraying(t *testing.T) {
	s, g := only(t, sheet(ring(60, 80, 120, 100), ringFolds(given(70), free(model.Out), free(model.In), free(model.In))))
	for u := range s.value {
		s.value[u] = s.side(u)
	}
	for v, want := range map[float64]bool{-1e-7: false, -1e-5: true, 3.14159275: false, 3.1416027: true, 0: false} {
		if s.value[g.unknowns[0]] = v * s.side(g.unknowns[0]); s.strays(g) != want {
			t.Errorf("%g: strays %v", v, !want)
		}
	}
}

// Where rounding alone is left, a minimization ends after one damping of at most
// two iterations: it does not look for a way down that is not there. Each iteration
// and each damping looks at the context once.
func TestMinimizationEndsAtRounding(t *testing.T) {
	for _, n := range []int{1, 2, 3, 5, 8} {
		s, g := only(t, sheet(miura(n, 10, 12, 65), miuraFolds(n, 80)))
		s.follow(g)
		ctx := canceltest.EndsAt(0)
		s.ctx = ctx
		if gap := s.minimize(g, g.loops, byAngle); gap > closedTo || ctx.Looks() > 4 {
			t.Errorf("n = %d: %d looks to a gap of %g mm", n, ctx.Looks(), gap)
		}
	}
}

// exp is the library's to the bound that it states, and 1 at 0.
func TestExp(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 2000 {
		x := 4*rng.Float64() - 2
		if got, want := exp(x), math.Exp(x); math.Abs(got-want) > 5e-15*want {
			t.Errorf("exp(%v) = %v, want %v", x, got, want)
		}
	}
	if exp(0) != 1 {
		t.Errorf("exp(0) = %v", exp(0))
	}
}
