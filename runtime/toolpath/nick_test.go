package toolpath

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// middles are the middles of the bridges between open chains in a row, the last to the first.
func middles(parts [][]geom.Curve) []geom.Point {
	var out []geom.Point
	for i, p := range parts {
		out = append(out, p[len(p)-1].Q.Lerp(parts[(i+1)%len(parts)][0].P, 0.5))
	}
	return out
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func TestNicksLieInTheMiddle(t *testing.T) {
	rect := must(geom.Rect(100, 60, 0)).Curves()
	parts, got, want := nicked(rect, board.Nicks{Width: 0.5, Count: 4}, 0.5, nil, 0)
	if got != 4 || want != 4 {
		t.Fatalf("%d of %d", got, want)
	}
	places := fmt.Sprint(middles(parts))
	if places != "[{50 0} {100 30} {50 60} {0 30}]" {
		t.Errorf("4 nicks of a rectangle: %s", places)
	}
	parts, _, _ = nicked(rect, board.Nicks{Width: 0.5, Count: 2}, 0.5, nil, 0)
	if places := fmt.Sprint(middles(parts)); places != "[{50 0} {50 60}]" {
		t.Errorf("2 nicks of a rectangle: %s", places)
	}
	// A hinge that ends in the middle of the bottom moves them to where they keep off it and
	// stay symmetric.
	parts, got, _ = nicked(rect, board.Nicks{Width: 0.5, Count: 2}, 0.5, []geom.Point{geom.Pt(50, 0), geom.Pt(50, 60)}, 0)
	if places := fmt.Sprint(middles(parts)); got != 2 || places != "[{100 30} {0 30}]" {
		t.Errorf("2 nicks of a rectangle, hinge in the middle: %s", places)
	}
	// Spacing: at most that far apart, 320 mm of rim.
	if _, got, want := nicked(rect, board.Nicks{Width: 0.5, Spacing: 80}, 0.5, nil, 0); got != 4 || want != 4 {
		t.Errorf("every 80 mm of 320: %d of %d", got, want)
	}
	if _, got, want := nicked(rect, board.Nicks{Width: 0.5, Spacing: 79}, 0.5, nil, 0); got != 5 || want != 5 {
		t.Errorf("every 79 mm of 320: %d of %d", got, want)
	}
}

// Cuts without room for a bridge stay whole, and say so.
func TestNicksWithoutAPlace(t *testing.T) {
	for name, rim := range map[string][]geom.Curve{
		"small square": must(geom.Rect(4, 4, 0)).Curves(),
		"small circle": must(geom.Circle(1.8)).Curves(),
		"small oval":   must(geom.Oval(0.9, 0.7)).Curves(),
	} {
		if parts, got, want := nicked(rim, board.Nicks{Width: 0.5, Count: 2}, 0.5, nil, 0); parts != nil || got != 0 || want != 2 {
			t.Errorf("%s: %d of %d", name, got, want)
		}
	}
	// As many as there is room for.
	if parts, got, want := nicked(must(geom.Rect(30, 1, 0)).Curves(), board.Nicks{Width: 0.5, Count: 100}, 0.5, nil, 0); got != len(parts) || got < 10 || want != 100 {
		t.Errorf("strip: %d of %d", got, want)
	}
}

// Law: what nicks leave of a cut is its curves but for as many gaps, all of the width asked for;
// each lies in one curve, off corners and the places to keep off, and turns little.
func TestNicksOfRandomCuts(t *testing.T) {
	made := 0
	for seed := range int64(300) {
		rnd := rand.New(rand.NewSource(seed))
		cut := randomOutline(rnd)
		n := board.Nicks{Width: 0.2 + rnd.Float64(), Count: 1 + rnd.Intn(6)}
		keep := []geom.Point{cut[0].At(rnd.Float64()), cut[len(cut)-1].At(rnd.Float64())}
		parts, got, want := nicked(cut, n, n.Width, keep, 0.01)
		if want != n.Count || got > want || got != len(parts) {
			t.Fatalf("seed %d: %d of %d", seed, got, want)
		}
		if got == 0 {
			continue
		}
		made += got
		whole, left := newRim(cut).total, 0.0
		least := nickMargins[len(nickMargins)-1]
		for i, p := range parts {
			for k, c := range p {
				left += c.Length()
				if k > 0 && c.P.Dist(p[k-1].Q) > 1e-9 {
					t.Errorf("seed %d: part %d is not end to end", seed, i)
				}
			}
			from, to := p[len(p)-1].Q, parts[(i+1)%len(parts)][0].P
			within := false
			for _, c := range cut {
				a, da := c.Nearest(from)
				b, db := c.Nearest(to)
				if da < 1e-6 && db < 1e-6 && a < b && math.Abs(c.Part(a, b).Length()-n.Width) < 1e-6 {
					within = true
					if turn := geom.AngleBetween(c.Tangent(a), c.Tangent(b)).Abs().Radians(); turn > 1.2*nickTurn {
						t.Errorf("seed %d: nick %d turns by %v rad", seed, i, turn)
					}
				}
			}
			if !within {
				t.Errorf("seed %d: nick %d from %v to %v is not on one curve", seed, i, from, to)
			}
			middle := along(cut, from.Lerp(to, 0.5))
			for _, p := range slices.Concat(keep, corners(cut)) {
				if off := math.Abs(math.Remainder(along(cut, p)-middle, whole)); off < least+n.Width/2-0.01 {
					t.Errorf("seed %d: nick %d is %v mm along the rim from %v", seed, i, off, p)
				}
			}
		}
		if math.Abs(left+float64(got)*n.Width-whole) > 1e-6 {
			t.Errorf("seed %d: %v of %v left by %d nicks of %v", seed, left, whole, got, n.Width)
		}
	}
	if made < 500 {
		t.Errorf("only %d nicks", made)
	}
}

// along is how far along a closed chain its point nearest to p lies.
func along(chain []geom.Curve, p geom.Point) float64 {
	at, sum, least := 0.0, 0.0, math.Inf(1)
	for _, c := range chain {
		if t, d := c.Nearest(p); d < least {
			least, at = d, sum
			if t > 0 {
				at += c.Part(0, t).Length()
			}
		}
		sum += c.Length()
	}
	return at
}

// corners are the starts of curves that the chain does not run into smoothly.
func corners(chain []geom.Curve) []geom.Point {
	var out []geom.Point
	for i, c := range chain {
		if u := chain[(i+len(chain)-1)%len(chain)].Tangent(1); u.Dot(c.Tangent(0)) < 0.99 {
			out = append(out, c.P)
		}
	}
	return out
}

// Law: a chain that is its own mirror image has nicks that are.
func TestNicksAreSymmetric(t *testing.T) {
	for seed := range int64(200) {
		rnd := rand.New(rand.NewSource(seed))
		n := 1 + rnd.Intn(4)
		half := []geom.Point{geom.Pt(50, 14)}
		for i := range n {
			a := (float64(i) + 0.8*rnd.Float64() + 0.1) * math.Pi / float64(n)
			half = append(half, geom.Pt(0, 15).Add(geom.Polar(30+40*rnd.Float64(), geom.Radians(a))))
		}
		half = append(half, geom.Pt(-60, 13))
		for i := n + 1; i >= 0; i-- {
			half = append(half, geom.Pt(half[i].X, -half[i].Y))
		}
		cut := chainOf(append(half, half[0])...)
		parts, got, want := nicked(cut, board.Nicks{Width: 0.5, Count: 1 + rnd.Intn(6)}, 0.5, nil, 0)
		at := middles(parts)
		for _, p := range at {
			if got != want || !slices.ContainsFunc(at, func(q geom.Point) bool { return q.Dist(geom.Pt(p.X, -p.Y)) < 0.01 }) {
				t.Errorf("seed %d: %d of %d at %v", seed, got, want, at)
				break
			}
		}
	}
}

// However small the spacing is, no more bridges are asked for than a count may ask for.
func TestNicksAreBounded(t *testing.T) {
	var curves []geom.Curve
	for _, e := range must(geom.Rect(2000, 1000, 0)).Edges {
		curves = append(curves, e.Curve)
	}
	if _, got, want := nicked(curves, board.Nicks{Width: 0.01, Spacing: 0.02}, 0.01, nil, 0); want != board.MostNicks || got > want || got == 0 {
		t.Errorf("%d bridges of %d", got, want)
	}
}
