package scene

import (
	"context"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Law: quick decisions change nothing. What is visible of a face has the area
// that is left when all that stands before it is taken off, near or not, hidden
// or not.
func TestCoversHideWhatAllOthersHide(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	cases := poses(t)
	for n := 3; n < 25; n += 3 {
		cases = append(cases, namedPose{"tangle", tangle(rng, n)}, namedPose{"ragged tangle", ragged(rng, n)})
	}
	gone, whole := 0, 0
	for _, c := range cases {
		for _, v := range []View{Front(), Behind(), Look(360*rng.Float64(), 160*rng.Float64()-80)} {
			s := set(c.in).from(v)
			for _, f := range s.faces {
				left := f.rings
				for _, g := range s.faces {
					if g != f && g.box.Intersects(f.box) {
						left = without(left, g.before(f).rings)
					}
				}
				want, got := chainArea(chains(left)), chainArea(chains(s.visible(context.Background(), f)))
				if !near(got, want, 4*speck) {
					t.Errorf("%s: %g mm² of %q show, want %g", c.name, got, f.board.panel.Name, want)
				}
				if covers, all := f.covers(); all {
					gone++
				} else if len(covers) == 0 {
					whole++
				}
			}
		}
	}
	if gone < 30 || whole < 100 {
		t.Errorf("only %d faces are found hidden by one other and %d by none", gone, whole)
	}
}

// ragged is a tangle of stars, every other one with a window.
func ragged(rng *rand.Rand, n int) Input {
	in := tangle(rng, n)
	for i := range in.Blank.Sheets {
		var star, window []geom.Point
		for k := range 9 {
			way := geom.Polar(1, geom.Radians((float64(k)+0.8*rng.Float64())*2*math.Pi/9))
			star, window = append(star, way.Mul(15+30*rng.Float64())), append(window, way.Mul(3+10*rng.Float64()))
		}
		slices.Reverse(window)
		in.Blank.Sheets[i].Rings = []blank.Ring{chain(star...), chain(window...)}[:1+i%2]
	}
	return in
}

func square(x, y, side float64) []geom.Point {
	return []geom.Point{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}}
}

// A cover within a larger one is left out, unless the larger has a hole or a
// notch.
func TestLargestCovers(t *testing.T) {
	big, small, beside := square(0, 0, 10), square(2, 2, 3), square(9, 9, 3)
	for _, c := range []struct {
		full bool
		want int
	}{{true, 2}, {false, 3}} {
		covers := []cover{{hull: big, full: c.full}, {hull: small}, {hull: beside}}
		if got := largest(covers); len(got) != c.want {
			t.Errorf("big one full: %t: %d covers are kept, want %d", c.full, len(got), c.want)
		}
	}
}

// Law: a face that pierces another's plane falls into a part before it and a
// part behind, which make all of it; a part's rings lie within its hull.
func TestBeforeAndBehind(t *testing.T) {
	rng := rand.New(rand.NewSource(12))
	cut := 0
	for range 1000 {
		s := set(tangle(rng, 2)).from(Look(360*rng.Float64(), 160*rng.Float64()-80))
		if len(s.faces) < 2 || len(s.faces[0].near) == 0 {
			continue
		}
		f, g := s.faces[0], s.faces[1]
		part, ahead := g.before(f), f.depth.sub(g.depth)
		if whole, before := polygon.Area(g.hull), polygon.Area(part.hull); 0 < before && before < whole {
			cut++
			if sum := before + polygon.Area(cutOff(g.hull, ahead)); !near(sum, whole, 1e-6*whole) {
				t.Errorf("parts before and behind make %g of %g mm²", sum, whole)
			}
		}
		for _, r := range part.rings {
			if !polygon.Within(r, part.hull, 1e-6) {
				t.Errorf("%v lies outside its hull %v", r, part.hull)
			}
		}
	}
	if cut < 20 {
		t.Errorf("only %d faces pierce", cut)
	}
}
