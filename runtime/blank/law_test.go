package blank_test

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// layClean lays a piece and fails the test on any finding.
func layClean(t *testing.T, piece *model.Piece, poses ...*model.Pose) *blank.Blank {
	t.Helper()
	b, found, _ := blank.Lay(context.Background(), piece, poses)
	for _, f := range found {
		t.Fatalf("unasked-for finding: %v", f)
	}
	return b
}

// eachTree runs a test on seeded random hinge trees of 2 to 200 panels.
func eachTree(t *testing.T, trees int, test func(t *testing.T, rng *rand.Rand, k *modeltest.Known)) {
	t.Helper()
	for seed := range int64(trees) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			rng := rand.New(rand.NewSource(seed))
			n := 2 + rng.Intn(199)
			test(t, rng, modeltest.Tree(rng, n, geom.Rotation(geom.Radians(rng.Float64()*7), geom.Point{})))
		})
	}
}

// layer is the blank's layer of a kind, empty if it has none.
func layer(b *blank.Blank, k blank.Kind) blank.Layer {
	for _, l := range b.Layers {
		if l.Kind == k {
			return l
		}
	}
	return blank.Layer{Kind: k}
}

// curvesOf lists all curves of a layer.
func curvesOf(l blank.Layer) []geom.Curve {
	var out []geom.Curve
	for _, s := range l.Strokes {
		out = append(out, s.Curves...)
	}
	return out
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol*math.Max(1, math.Abs(b)) }

// Laws: the area of the blank is the sum of the panels', the hinges are as
// long as they were made, and the cuts are all edges but hinges, those that
// two panels share counted once.
func TestFiguresOfTrees(t *testing.T) {
	eachTree(t, 60, func(t *testing.T, _ *rand.Rand, k *modeltest.Known) {
		b := layClean(t, k.Piece)
		hinged := 0.0
		for _, h := range b.Hinges {
			if !near(h.Length, h.Hinge.Curve.Length(), 1e-9) {
				t.Errorf("hinge %s is %g mm long, want %g", h.Hinge.Name, h.Length, h.Hinge.Curve.Length())
			}
			hinged += h.Length
		}
		scored := layer(b, blank.ScoreLine).Length() + layer(b, blank.BackScoreLine).Length()
		cut := layer(b, blank.CutLine).Length()
		if !near(b.Area, k.Area, 1e-9) || !near(hinged, k.Hinged, 1e-9) || !near(scored, k.Hinged, 1e-9) || !near(cut, k.Cut, 1e-9) {
			t.Errorf("area %g hinges %g scores %g cuts %g, want %g, %g twice and %g",
				b.Area, hinged, scored, cut, k.Area, k.Hinged, k.Cut)
		}
	})
}

// Law: strokes put back together are the edges: every point of a panel's edge
// lies on a stroke, which with their lengths above makes them the same set.
func TestStrokesAreTheEdges(t *testing.T) {
	eachTree(t, 15, func(t *testing.T, _ *rand.Rand, k *modeltest.Known) {
		b := layClean(t, k.Piece)
		var all []geom.Curve
		for _, l := range b.Layers {
			all = append(all, curvesOf(l)...)
		}
		for _, p := range k.Piece.Panels {
			for _, e := range p.Outline.Transform(p.Flat).Edges {
				for _, s := range []float64{0.01, 0.37, 0.5, 0.93} {
					if d := offLine(all, e.At(s)); d > 1e-6 {
						t.Errorf("edge %s of %s is %g mm from any stroke", e.Name, p.Name, d)
					}
				}
			}
		}
	})
}

// offLine is the distance from p to the nearest of the curves, as far as it is
// under a millimetre.
func offLine(curves []geom.Curve, p geom.Point) float64 {
	best := 1.0
	for _, c := range curves {
		if c.Bounds().Grow(best).Contains(p) {
			_, d := c.Nearest(p)
			best = math.Min(best, d)
		}
	}
	return best
}

// Laws: no two curves of any strokes run along one another, so that every
// point of a line is worked once; and strokes hang together end to end, to the
// bit, closed ones all the way round.
func TestStrokesAreWholeAndOnce(t *testing.T) {
	eachTree(t, 40, func(t *testing.T, rng *rand.Rand, k *modeltest.Known) {
		decorate(rng, k, geom.Identity())
		b, _, _ := blank.Lay(context.Background(), k.Piece, nil)
		var all []geom.Curve
		for _, l := range b.Layers {
			for _, s := range l.Strokes {
				checkStroke(t, l.Kind, s)
				all = append(all, s.Curves...)
			}
		}
		for _, p := range region.Arrange(all).Edges {
			if len(p.Origins) != 1 {
				t.Errorf("the line at %v is there %d times", p.At(0.5), len(p.Origins))
			}
		}
	})
}

func checkStroke(t *testing.T, k blank.Kind, s blank.Stroke) {
	t.Helper()
	for i, c := range s.Curves {
		if i > 0 && s.Curves[i-1].Q != c.P {
			t.Errorf("a %s stroke breaks at %v", k, c.P)
		}
	}
	if last := len(s.Curves) - 1; s.Closed && s.Curves[last].Q != s.Curves[0].P {
		t.Errorf("a closed %s stroke ends at %v, not where it starts, %v", k, s.Curves[last].Q, s.Curves[0].P)
	}
}

// Law: placing a blank turned and mirrored moves its lines and changes nothing
// else: every curve of either is, moved, a curve of the other.
func TestPlacingMovesLines(t *testing.T) {
	for seed := range int64(40) {
		n := 2 + rand.New(rand.NewSource(seed)).Intn(120)
		m := geom.FlipX().Then(geom.Rotation(geom.Radians(float64(seed)*0.7), geom.Pt(30, 10)))
		lay := func(m geom.Isometry) *blank.Blank {
			rng := rand.New(rand.NewSource(seed))
			k := modeltest.Tree(rng, n, m)
			decorate(rng, k, m)
			b, _, _ := blank.Lay(context.Background(), k.Piece, nil)
			return b
		}
		sameLines(t, lay(geom.Identity()), lay(m), m)
	}
}

// Law: in which order panels were hung, windows cut and lines worked makes no
// difference to the lines.
func TestOrderMakesNoDifference(t *testing.T) {
	eachTree(t, 40, func(t *testing.T, rng *rand.Rand, k *modeltest.Known) {
		decorate(rng, k, geom.Identity())
		before, _, _ := blank.Lay(context.Background(), k.Piece, nil)
		rng.Shuffle(len(k.Piece.Panels), func(i, j int) {
			p := k.Piece.Panels
			p[i], p[j] = p[j], p[i]
		})
		rng.Shuffle(len(k.Piece.Hinges), func(i, j int) {
			h := k.Piece.Hinges
			h[i], h[j] = h[j], h[i]
		})
		after, _, _ := blank.Lay(context.Background(), k.Piece, nil)
		sameLines(t, before, after, geom.Identity())
	})
}

// sameLines checks that b has a's lines, moved by m, kind by kind, in as many
// strokes.
func sameLines(t *testing.T, a, b *blank.Blank, m geom.Isometry) {
	t.Helper()
	if !near(a.Area, b.Area, 1e-9) {
		t.Errorf("area %g becomes %g", a.Area, b.Area)
	}
	for _, k := range blank.Kinds() {
		la, lb := layer(a, k), layer(b, k)
		if len(la.Strokes) != len(lb.Strokes) {
			t.Errorf("%d %s strokes become %d", len(la.Strokes), k, len(lb.Strokes))
		}
		ca, cb := curvesOf(la), curvesOf(lb)
		if len(ca) != len(cb) {
			t.Errorf("%d %s curves become %d", len(ca), k, len(cb))
			continue
		}
		for _, c := range ca {
			if c = c.Transform(m); !contains(cb, c) {
				t.Errorf("the %s %s from %v to %v is gone", k, c.Kind, c.P, c.Q)
			}
		}
	}
}

// contains reports whether one of the curves is c, run either way.
func contains(curves []geom.Curve, c geom.Curve) bool {
	const tol = 1e-6
	mid := c.At(0.5)
	for _, d := range curves {
		if d.At(0.5).Dist(mid) > tol || d.Kind != c.Kind {
			continue
		}
		if d.P.Dist(c.P) < tol && d.Q.Dist(c.Q) < tol || d.P.Dist(c.Q) < tol && d.Q.Dist(c.P) < tol {
			return true
		}
	}
	return false
}

// decorate cuts windows and works lines at random places of a tree that was
// placed by m. Some of them fall off the board; that is a finding and no
// matter here.
func decorate(rng *rand.Rand, k *modeltest.Known, m geom.Isometry) {
	for _, p := range k.Piece.Panels {
		place := m.Then(p.Flat.Inverse())
		at := p.Outline.Transform(place.Inverse()).Bounds().Mid().Add(geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(12))
		line := modeltest.Polyline(at, at.Add(geom.Polar(10+30*rng.Float64(), geom.Radians(7*rng.Float64())))).Transform(place)
		window := modeltest.Disc(at.X, at.Y, 3+6*rng.Float64())
		switch rng.Intn(8) {
		case 0:
			window = modeltest.Rect(at.X, at.Y, 14, 9).Transform(geom.Rotation(geom.Radians(7*rng.Float64()), at))
			fallthrough
		case 1:
			p.Windows = append(p.Windows, &model.Window{Panel: p, Outline: window.Transform(place)})
		case 2:
			p.Works = append(p.Works, &model.Work{Kind: model.Slit, Panel: p, Path: line})
		case 3:
			p.Works = append(p.Works, &model.Work{Kind: model.ScoreLine, Line: model.Score, Panel: p, Path: line})
		case 4:
			p.Works = append(p.Works, &model.Work{Kind: model.Perforation, Cut: 3, Tie: 1, Panel: p, Path: line})
		}
	}
}

// Law: windows take what they share with the panels and nothing else; the area
// left is checked by overlaying outlines, another way than by tracing.
func TestWindowsTakeWhatTheyCover(t *testing.T) {
	eachTree(t, 30, func(t *testing.T, rng *rand.Rand, k *modeltest.Known) {
		want := k.Area
		var taken []geom.Path
		for i, p := range k.Piece.Panels {
			if i%7 != 0 {
				continue
			}
			c := p.Outline.Bounds().Mid().Add(geom.Pt(rng.Float64(), rng.Float64()).Mul(20))
			w := &model.Window{Panel: p, Outline: modeltest.Disc(c.X, c.Y, 2+5*rng.Float64())}
			opening := w.Outline.Transform(p.Flat)
			if shared(opening, taken) > 0 {
				continue
			}
			taken = append(taken, opening)
			p.Windows = append(p.Windows, w)
		}
		for _, p := range k.Piece.Panels {
			want -= shared(p.Outline.Transform(p.Flat), taken)
		}
		b, found, _ := blank.Lay(context.Background(), k.Piece, nil)
		for _, f := range found {
			if f.Rule == blank.RuleOverlap {
				t.Error(f)
			}
		}
		if !near(b.Area, want, 1e-8) {
			t.Errorf("area %.9g, want %.9g", b.Area, want)
		}
	})
}

// shared is the area that an outline shares with others.
func shared(p geom.Path, others []geom.Path) float64 {
	sum := 0.0
	for _, q := range others {
		if p.Bounds().Intersects(q.Bounds()) {
			sum += region.OverlapArea([][]geom.Curve{p.Curves()}, [][]geom.Curve{q.Curves()})
		}
	}
	return sum
}

// Law: sheets are the board: their rings run counter-clockwise round it and
// clockwise round holes, and add up to their areas and to the blank's.
func TestSheetsAddUp(t *testing.T) {
	eachTree(t, 30, func(t *testing.T, rng *rand.Rand, k *modeltest.Known) {
		decorate(rng, k, geom.Identity())
		b, _, _ := blank.Lay(context.Background(), k.Piece, nil)
		total := 0.0
		for _, s := range b.Regions {
			area := 0.0
			for _, r := range s.Rings {
				checkStroke(t, "sheet", blank.Stroke{Curves: r, Closed: true})
				for _, c := range r {
					area += c.Area()
				}
			}
			if !near(area, s.Area, 1e-8) || area > s.Panel.Outline.Area()*(1+1e-9) {
				t.Errorf("panel %s: rings hold %g mm², the sheet %g, the outline %g", s.Panel.Name, area, s.Area, s.Panel.Outline.Area())
			}
			total += s.Area
		}
		if !near(total, b.Area, 1e-12) {
			t.Errorf("sheets add up to %g, the blank is %g", total, b.Area)
		}
	})
}

// Law: laying twice gives the same blank to the bit.
func TestLayingIsRepeatable(t *testing.T) {
	lay := func() string {
		rng := rand.New(rand.NewSource(5))
		k := modeltest.Tree(rng, 80, geom.Identity())
		decorate(rng, k, geom.Identity())
		b, found, _ := blank.Lay(context.Background(), k.Piece, nil)
		return fmt.Sprint(b.Layers, b.Area, b.Bounds, messages(found))
	}
	if a, b := lay(), lay(); a != b {
		t.Error("two runs differ")
	}
}

func messages(found []*diag.Finding) []string {
	var out []string
	for _, f := range found {
		out = append(out, f.Message)
	}
	return out
}

// slide moves every panel that hangs on a straight edge along it by up to far
// mm, and with it all that hangs on the panel, so that neighbours with no
// hinge between them part or overlap by about as much.
func slide(rng *rand.Rand, k *modeltest.Known, far float64) {
	for i, h := range k.Piece.Hinges {
		lay, p := h.ToParent, h.Child
		if c := h.On.Curve(); c.Kind == geom.Line {
			by := c.Tangent(0).Mul(far * (2*rng.Float64() - 1))
			lay = lay.Then(geom.Translation(by.X, by.Y))
		}
		p.Flat, p.Hang = lay.Then(h.Parent.Flat), nil
		k.Piece.Hinges[i] = modeltest.Join(h.Parent, p, modeltest.Cell{Name: h.Name, On: h.On.Name, By: h.By.Name, Fold: h.Fold})
	}
}

// Laws: however far panels miss each other, from far below the snap tolerance to
// several, every boundary closes, strokes hang together, hinges keep their
// length but for their ends, and the area is that of the panels but for a
// tolerance's width along their rims; far below it nothing is found amiss at all.
func TestNearMisses(t *testing.T) {
	for _, far := range []float64{1e-9, 1e-6, 1e-4, 4e-4, 7e-4, 1e-3, 1.5e-3, 3e-3, 1e-2} {
		t.Run(fmt.Sprint(far), func(t *testing.T) {
			for seed := range int64(60) {
				rng := rand.New(rand.NewSource(seed))
				k := modeltest.Tree(rng, 2+rng.Intn(30), geom.Rotation(geom.Radians(rng.Float64()*7), geom.Point{}))
				slide(rng, k, far)
				b, found, _ := blank.Lay(context.Background(), k.Piece, nil)
				for _, m := range messages(found) {
					if far < geom.SnapTolerance/50 || strings.Contains(m, "does not close") {
						t.Errorf("seed %d: %s", seed, m)
					}
				}
				for _, l := range b.Layers {
					for _, s := range l.Strokes {
						checkStroke(t, l.Kind, s)
					}
				}
				for _, h := range b.Hinges {
					if h.Length < h.Hinge.Curve.Length()-16*geom.SnapTolerance {
						t.Errorf("seed %d: hinge %s has %g of %g mm", seed, h.Hinge.Name, h.Length, h.Hinge.Curve.Length())
					}
				}
				if slack := (k.Cut + k.Hinged) * geom.SnapTolerance; b.Area > k.Area+slack || b.Area < k.Area-slack {
					t.Errorf("seed %d: area %g, want %g", seed, b.Area, k.Area)
				}
			}
		})
	}
}

// Sizes with three decimals leave gaps and overlaps of exactly 0.001 mm, the
// contract's own bound: lines that far apart are one, though rounding may make
// them little more.
func TestAMicrometreIsOneLine(t *testing.T) {
	for i := range 200 {
		x := 33.333 + float64(i)*0.618
		cells := []modeltest.Cell{
			{Name: "base", Outline: modeltest.Rect(0, 0, 400, 60)},
			{Name: "a", Outline: modeltest.Rect(0, 60, x, 30), On: "top", By: "bottom", Fold: modeltest.Right},
			{Name: "b", Outline: modeltest.Rect(x-0.001, 60, 50, 30), On: "top", By: "bottom", Fold: modeltest.Right},
			{Name: "c", Outline: modeltest.Rect(x+49.999+0.001, 60, 50, 30), On: "top", By: "bottom", Fold: modeltest.Right},
		}
		b := layClean(t, modeltest.Assemble(cells, nil).Pieces[0])
		if cut := layer(b, blank.CutLine); len(cut.Strokes) != 3 || !near(cut.Length(), 2*(400+60)+60+2*30, 1e-4) {
			t.Errorf("joint at %g: %d cut strokes of %g mm in all", x, len(cut.Strokes), cut.Length())
		}
	}
}

// BenchmarkLay lays blanks of straight edges, as cartons have, and of edges of
// which two thirds are arcs and curves.
func BenchmarkLay(b *testing.B) {
	for _, kind := range []struct {
		name string
		make func(*rand.Rand, int, geom.Isometry) *modeltest.Known
	}{{"straight", modeltest.Bricks}, {"curved", modeltest.Quilt}} {
		for _, n := range []int{10, 100, 1000, 10000} {
			k := kind.make(rand.New(rand.NewSource(1)), n, geom.Rotation(geom.Radians(0.3), geom.Point{}))
			b.Run(fmt.Sprintf("%s/%d", kind.name, n), func(b *testing.B) {
				for b.Loop() {
					blank.Lay(context.Background(), k.Piece, k.Design.Poses)
				}
			})
		}
	}
}
