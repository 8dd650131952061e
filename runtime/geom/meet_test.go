package geom

import (
	"fmt"
	"math"
	"math/rand"
	"testing"
)

// crossingsOf counts where two chains of points cross, segment by segment: the
// dumbest way there is.
func crossingsOf(a, b []Point) []Point {
	var out []Point
	for i := 1; i < len(a); i++ {
		for j := 1; j < len(b); j++ {
			u, v, w := a[i].Sub(a[i-1]), b[j].Sub(b[j-1]), b[j-1].Sub(a[i-1])
			s, t := w.Cross(v)/u.Cross(v), w.Cross(u)/u.Cross(v)
			if s >= 0 && s < 1 && t >= 0 && t < 1 {
				out = append(out, a[i-1].Lerp(a[i], s))
			}
		}
	}
	return out
}

// Meet finds the crossings that brute force over flattened curves finds, and
// no others, for every pair of kinds.
func TestMeetAgainstBruteForce(t *testing.T) {
	for _, ka := range allKinds {
		for _, kb := range allKinds {
			t.Run(fmt.Sprintf("%v-%v", ka, kb), func(t *testing.T) {
				r := rand.New(rand.NewSource(int64(10*ka) + int64(kb) + 1))
				total, worst := 0, 0.0
				for n := range 400 {
					a, b := randomCurve(r, ka), randomCurve(r, kb)
					want := crossingsOf(flat(a, 1e-3), flat(b, 1e-3))
					got := Intersect(a, b)
					total += len(got)
					if len(got) != len(want) {
						t.Errorf("case %d: %d crossings, brute force finds %d\n%+v\n%+v\n%v %v", n, len(got), len(want), a, b, got, want)
						continue
					}
					for _, m := range got {
						p, q := a.At(m.A0), b.At(m.B0)
						if math.Abs(a.Tangent(m.A0).Cross(b.Tangent(m.B0))) > shallowSine && m.A0 > 0 && m.A0 < 1 && m.B0 > 0 && m.B0 < 1 {
							worst = math.Max(worst, p.Dist(q))
						} else if p.Dist(q) > SnapTolerance {
							t.Errorf("case %d: curves lie %g apart at a touch", n, p.Dist(q))
						}
						near := math.Inf(1)
						for _, w := range want {
							near = math.Min(near, w.Dist(p))
						}
						if near > 0.1 {
							t.Errorf("case %d: crossing at %v is %g from any that brute force finds", n, p, near)
						}
					}
				}
				if worst > 1e-10 {
					t.Errorf("curves lie up to %g apart at a crossing", worst)
				}
				if total < 50 {
					t.Errorf("only %d crossings seen", total)
				}
			})
		}
	}
}

// A line so short that all of it lies within the snap tolerance of another that
// begins where it does runs along that other, though the two make a clear angle:
// it is no corner. A longer one at the same angle is.
func TestAShortLineRunsAlongItsNeighbour(t *testing.T) {
	long := LineFrom(Pt(0, 0), Pt(10, 0.5)) // at a slope of 0.05
	for length, stretch := range map[float64]bool{
		0.018: true, // its end lies 0.0009 mm off
		0.19:  false,
	} {
		for name, short := range map[string]Curve{
			"from the corner": LineFrom(Pt(0, 0), Pt(length, 0)),
			"to the corner":   LineFrom(Pt(length, 0), Pt(0, 0)),
		} {
			got := Intersect(short, long)
			if len(got) != 1 {
				t.Fatalf("%v mm %s: %v", length, name, got)
			}
			if got[0].IsPoint() == stretch {
				t.Errorf("%v mm %s: %v, want a stretch: %v", length, name, got[0], stretch)
			}
			if whole := got[0].A0 == 0 && got[0].A1 == 1; whole != stretch {
				t.Errorf("%v mm %s: %v covers the line: %v", length, name, got[0], whole)
			}
		}
	}
}

// touching gives two cubics whose closest approach inside both is at the parameters s
// and t, gap mm apart, with parallel tangents; ok is false when they do not curve
// away from each other there by at least 1/50 mm. Newton's method in approach ends
// there, or the pair is missed: parts are up to leafFlat off their middles.
func touching(r *rand.Rand, gap float64) (a, b Curve, s, t float64, ok bool) {
	a, b = randomCurve(r, Cubic), randomCurve(r, Cubic)
	s, t = 0.2+0.6*r.Float64(), 0.2+0.6*r.Float64()
	if r.Intn(2) == 0 {
		b = b.Reverse()
	}
	bend := func(c Curve, t float64) float64 {
		u, v := c.Derivatives(t)
		return u.Cross(v) / math.Pow(u.Len(), 3)
	}
	// b is turned so that the tangents agree, and set off to the side to which a
	// bends away from it.
	b = b.Transform(Rotation(Radians(a.Tangent(s).Angle().Radians()-b.Tangent(t).Angle().Radians()), Point{}))
	side := math.Copysign(gap, bend(b, t)-bend(a, s))
	d := a.At(s).Add(a.Tangent(s).Left().Mul(side)).Sub(b.At(t))
	b = b.Transform(Translation(d.X, d.Y))
	return a, b, s, t, math.Abs(bend(b, t)-bend(a, s)) >= 0.02
}

// Law: two cubics that approach each other to just under SnapTolerance meet where they
// do, and just over it they do not. At the closest approach itself, but for some pairs
// where a neighbouring part has given one of its middles first.
func TestTouchingCubics(t *testing.T) {
	r := rand.New(rand.NewSource(71))
	near, exact, apart := 0, 0, 0
	for near < 150 || apart < 150 {
		gap := 0.995 * SnapTolerance
		if r.Intn(2) == 0 {
			gap = 1.005 * SnapTolerance
		}
		a, b, s, at, ok := touching(r, gap)
		if !ok {
			continue
		}
		off := math.Inf(1)
		for _, m := range Intersect(a, b) {
			off = min(off, max(a.At(m.A0).Dist(a.At(s)), b.At(m.B0).Dist(b.At(at))))
		}
		switch {
		case gap > SnapTolerance:
			apart++
			if off < 0.05 {
				t.Errorf("cubics %g mm apart meet", gap)
			}
			continue
		case off > approachReach:
			t.Errorf("cubics %g mm apart do not meet there", gap)
		case off < 1e-6:
			exact++
		}
		near++
	}
	if exact < near-near/20 {
		t.Errorf("only %d of %d meet at the closest approach", exact, near)
	}
}
