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
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// Law: visible faces do not overlap, and together they cover what all panels'
// projections cover. Both are areas, measured by the arrangement of curves.
func TestVisibleFacesTileTheProjection(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	cases := poses(t)
	for n := 2; n < 22; n += 2 {
		cases = append(cases, namedPose{"tangle", tangle(rng, n)})
	}
	for _, c := range cases {
		p := pictured(c.in, Front())
		sum := 0.0
		for i, f := range p.Faces {
			sum += faceArea(f)
			for _, g := range p.Faces[:i] {
				if a := region.OverlapArea(chains(f.Rings), chains(g.Rings)); a > 4*minArea {
					t.Errorf("%s: faces of %q and %q share %g mm²", c.name, f.Panel.Name, g.Panel.Name, a)
				}
			}
		}
		var whole [][]geom.Curve
		for _, f := range p.projection.faces {
			whole = must(region.Union(whole, chains(f.rings)))
		}
		if want := chainArea(whole); !near(sum, want, 1e-3*want+1) {
			t.Errorf("%s: faces cover %.2f mm², the projections %.2f", c.name, sum, want)
		}
	}
}

// set is New, and drawn draws, with a context that does not end.
func set(in Input) *Scene { return must(New(context.Background(), in)) }

func pictured(in Input, v View) *Picture { return must(set(in).Draw(context.Background(), v)) }

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func chainArea(rings [][]geom.Curve) float64 {
	sum := 0.0
	for _, r := range rings {
		for _, c := range r {
			sum += c.Area()
		}
	}
	return sum
}

// Law: turning and shifting the piece and the view together changes nothing.
func TestTurningPieceAndViewChangesNothing(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	for _, c := range poses(t) {
		m := anyTurn(rng)
		moved := c.in
		pose := *c.in.Pose
		pose.Place = nil
		for _, p := range c.in.Pose.Place {
			p.RigidTransform = p.Then(m)
			pose.Place = append(pose.Place, p)
		}
		moved.Pose = &pose
		a, b := pictured(c.in, Front()), pictured(moved, Front().Turn(m))
		if len(a.Faces) != len(b.Faces) {
			t.Errorf("%s: %d faces, then %d", c.name, len(a.Faces), len(b.Faces))
			continue
		}
		for i, f := range a.Faces {
			g := b.Faces[i]
			if f.Panel != g.Panel || f.Side != g.Side || !near(f.Shade, g.Shade, 1e-9) || !near(faceArea(f), faceArea(g), 0.01) {
				t.Errorf("%s: panel %q shows %g mm², then %q %g mm²", c.name, f.Panel.Name, faceArea(f), g.Panel.Name, faceArea(g))
			}
		}
		if x, y := lineLength(a), lineLength(b); !near(x, y, 1) {
			t.Errorf("%s: %g mm of lines, then %g mm", c.name, x, y)
		}
	}
}

func lineLength(p *Picture) float64 {
	sum := 0.0
	for _, l := range p.Lines {
		for i := 1; i < len(l.Points); i++ {
			sum += l.Points[i].Dist(l.Points[i-1])
		}
	}
	return sum
}

// Strips that overlap in a ring: each is hidden in part by one other, so no
// order of painting whole strips would do.
func TestRingOfStrips(t *testing.T) {
	in := ringOfStrips()
	p := pictured(in, Look(0, 90-1e-9).Turn(geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Radians(math.Pi/2))))
	if len(p.Faces) != 3 {
		t.Fatalf("%d strips show", len(p.Faces))
	}
	whole := 100 * 14 * math.Cos(geom.Degrees(12).Angle().Radians())
	for _, f := range p.Faces {
		if a := faceArea(f); !near(a, faceArea(p.Faces[0]), 0.05) || a > whole-150 || a < whole-300 {
			t.Errorf("a strip shows %g of %g mm²", a, whole)
		}
	}
}

// Through a round window in a box the far wall shows its inside, by the
// window's projected area; through nothing does the box behind show its
// outside.
func TestSeeThroughWindow(t *testing.T) {
	in := folded(t, `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
c = panel("c", rect(60, 80), on = b.right)
d = panel("d", rect(40, 80), on = c.right)
a.cut(circle(20).shift(30, 40))
piece("box", a, board = board("card", caliper = 0.4))
`, "closed")
	p := pictured(in, Look(10, 0))
	through := 0.0
	for _, f := range p.Faces {
		if f.Panel.Name == "c" {
			through += faceArea(f)
			if f.Side != Inside {
				t.Error("the far wall shows its outside")
			}
		}
	}
	if want := math.Pi * 100 * math.Cos(geom.Degrees(10).Angle().Radians()); !near(through, want, 1) {
		t.Errorf("%.2f mm² of the far wall show, want %.2f", through, want)
	}
}

// What shows of a strip on either side of a square before it is drawn when it is
// more than a hundredth of a square millimetre and wider than a few snap tolerances.
func TestSmallestPartsDrawn(t *testing.T) {
	for _, c := range []struct {
		wide, over float64
		shows      bool
	}{{0.12, 0.12, true}, {0.09, 0.09, false}, {0.006, 10, true}, {0.004, 10, false}} {
		in := loose([]blank.Ring{rectangle(20, 20), rectangle(c.wide, 20+2*c.over)},
			[]geom.RigidTransform{geom.Identity3(), {R: geom.Identity3().R, T: geom.Point3{Z: -5}}})
		got := showing(pictured(in, Look(0, 0)))["p1"]
		want := 0.0
		if c.shows {
			want = 2 * c.wide * c.over
		}
		if !near(got, want, 1e-6) {
			t.Errorf("of a strip %g mm wide that stands %g mm over, %g mm² show, want %g", c.wide, c.over, got, want)
		}
	}
}

// A panel turned away from the view by all but a few tenths of a degree still
// shows, by its width times the sine; closer to the edge it is left out.
func TestPanelsSeenFromTheEdge(t *testing.T) {
	for _, c := range []struct {
		degrees float64
		shows   bool
	}{{0.3, true}, {0.03, false}} {
		turn := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(90-c.degrees).Angle())
		got := showing(pictured(loose([]blank.Ring{rectangle(60, 40)}, []geom.RigidTransform{turn}), Look(0, 0)))["p0"]
		want := 0.0
		if c.shows {
			want = 40 * 60 * math.Sin(c.degrees*math.Pi/180)
		}
		if !near(got, want, 1e-6) {
			t.Errorf("%g degrees off the edge %g mm² show, want %g", c.degrees, got, want)
		}
	}
}

// Law: cutting a convex ring along a line splits its area.
func TestCutOffSplits(t *testing.T) {
	rng := rand.New(rand.NewSource(8))
	for range 300 {
		ring := []geom.Point{{X: 0, Y: 0}, {X: 5, Y: 0}, {X: 5, Y: 3}, {X: 2, Y: 4}, {X: 0, Y: 3}}
		a := affine{rng.NormFloat64(), rng.NormFloat64(), 3 * rng.NormFloat64()}
		sum := 0.0
		for _, side := range []affine{a, {-a.X, -a.Y, -a.C}} {
			if c := clipPositive(ring, side); len(c) > 2 {
				sum += faceArea(Face{Rings: [][]geom.Point{c}})
				for _, q := range c {
					if side.at(q) < -1e-9 {
						t.Fatalf("%v lies on the wrong side by %g", q, side.at(q))
					}
				}
			}
		}
		if !near(sum, 17.5, 1e-9) {
			t.Fatalf("the parts make %g of 17.5", sum)
		}
	}
}

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
			s := set(c.in).project(v)
			for _, f := range s.faces {
				left := f.rings
				for _, g := range s.faces {
					if g != f && g.box.Intersects(f.box) {
						left = difference(left, g.occludingPart(f).rings)
					}
				}
				want, got := chainArea(chains(left)), chainArea(chains(s.visible(context.Background(), f)))
				if !near(got, want, 4*minArea) {
					t.Errorf("%s: %g mm² of %q show, want %g", c.name, got, f.plate.panel.Name, want)
				}
				if covers, all := f.occluders(); all {
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
	for i := range in.Blank.Regions {
		var star, window []geom.Point
		for k := range 9 {
			way := geom.Polar(1, geom.Radians((float64(k)+0.8*rng.Float64())*2*math.Pi/9))
			star, window = append(star, way.Mul(15+30*rng.Float64())), append(window, way.Mul(3+10*rng.Float64()))
		}
		slices.Reverse(window)
		in.Blank.Regions[i].Rings = []blank.Ring{chain(star...), chain(window...)}[:1+i%2]
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
		covers := []occluder{{hull: big, full: c.full}, {hull: small}, {hull: beside}}
		if got := dropContained(covers); len(got) != c.want {
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
		s := set(tangle(rng, 2)).project(Look(360*rng.Float64(), 160*rng.Float64()-80))
		if len(s.faces) < 2 || len(s.faces[0].near) == 0 {
			continue
		}
		f, g := s.faces[0], s.faces[1]
		part, ahead := g.occludingPart(f), f.depth.sub(g.depth)
		if whole, before := polygon.Area(g.hull), polygon.Area(part.hull); 0 < before && before < whole {
			cut++
			if sum := before + polygon.Area(clipPositive(g.hull, ahead)); !near(sum, whole, 1e-6*whole) {
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
