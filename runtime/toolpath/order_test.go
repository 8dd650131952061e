package toolpath_test

import (
	"context"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

func made(t *testing.T, b *blank.Blank, m *board.Machine) *toolpath.Program {
	t.Helper()
	p, err := toolpath.Make(context.Background(), b, m)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// wide is a bed with room for everything.
func wide(t *testing.T, tools ...board.ToolUse) *board.Machine {
	t.Helper()
	return machineOf(t, board.Machine{Name: "m", Bed: [2]float64{1e4, 1e4}, Format: "hpgl", Tools: tools})
}

// plainTools is a pen for every line kind: strokes lie as the blank has them.
func plainTools() (out []board.ToolUse) {
	for _, kind := range board.Lines() {
		out = append(out, board.ToolUse{Line: kind, Tool: board.Tool{Kind: board.Pen}})
	}
	return out
}

// plate is a blank of cuts and scores in random order: squares nested in one another in the cells of
// a grid, slits and creases anywhere.
func plate(rnd *rand.Rand, contours, open int) *blank.Blank {
	b := &blank.Blank{Piece: &model.Piece{Name: "p"}, Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(1000, 1000))}
	cuts, scores := blank.Layer{Kind: blank.CutLine}, blank.Layer{Kind: blank.ScoreLine}
	for _, cell := range rnd.Perm(900)[:contours] {
		at := geom.Pt(65+30*float64(cell%30), 65+30*float64(cell/30))
		for size := 1 + rnd.Intn(3); size > 0; size-- {
			cuts.Strokes = append(cuts.Strokes, square(at, 7*float64(size)))
		}
	}
	for range open {
		at := geom.Pt(100+rnd.Float64()*800, 100+rnd.Float64()*800)
		s := blank.Stroke{Curves: []geom.Curve{geom.LineFrom(at, at.Add(geom.Pt(rnd.NormFloat64(), rnd.NormFloat64()).Mul(20)))}}
		if rnd.Intn(2) == 0 {
			cuts.Strokes = append(cuts.Strokes, s)
		} else {
			scores.Strokes = append(scores.Strokes, s)
		}
	}
	cuts.Strokes = append(cuts.Strokes, square(geom.Pt(500, 500), 1000))
	rnd.Shuffle(len(cuts.Strokes), func(i, j int) { cuts.Strokes[i], cuts.Strokes[j] = cuts.Strokes[j], cuts.Strokes[i] })
	if len(scores.Strokes) > 0 {
		b.Layers = append(b.Layers, scores)
	}
	b.Layers = append(b.Layers, cuts)
	return b
}

func square(middle geom.Point, side float64) blank.Stroke {
	s := blank.Stroke{Closed: true}
	corner := func(i int) geom.Point {
		sin, cos := geom.Degrees(45 + 90*float64(i)).Angle().SinCos()
		return middle.Add(geom.Pt(cos, sin).Mul(side / math.Sqrt2))
	}
	for i := range 4 {
		s.Curves = append(s.Curves, geom.LineFrom(corner(i), corner((i+1)%4)))
	}
	return s
}

// same tells whether two strokes run over the same line, from whatever start and in
// whatever sense: their lengths and boxes are equal.
func same(a, b toolpath.Stroke) bool {
	box := func(s toolpath.Stroke) geom.Box {
		box := geom.EmptyBox()
		for _, m := range s.Moves {
			box = box.Union(m.Bounds())
		}
		return box
	}
	const tolerance = 1e-6
	u, v := box(a), box(b)
	return math.Abs(a.Length()-b.Length()) < tolerance && u.Min.Dist(v.Min) < tolerance && u.Max.Dist(v.Max) < tolerance
}

// Laws: every stroke of the blank is made once; moves follow one another and close what is closed; the way is never
// longer than in the blank's order; both are what the strokes say.
func TestOrderKeepsStrokes(t *testing.T) {
	saved, naive := 0.0, 0.0
	for seed := range int64(150) {
		b := randomBlank(seed)
		if seed%3 == 1 {
			b = plate(rand.New(rand.NewSource(seed)), rand.New(rand.NewSource(seed)).Intn(8), 20)
		}
		p := made(t, b, wide(t, plainTools()...))
		if p.Travel > p.Naive+1e-9 {
			t.Errorf("seed %d: travel %g, %g in the blank's order", seed, p.Travel, p.Naive)
		}
		saved, naive = saved+p.Naive-p.Travel, naive+p.Naive
		travel, at := 0.0, geom.Pt(0, 0)
		left := map[blank.Kind][]toolpath.Stroke{}
		for _, pass := range p.Passes {
			left[pass.Kind] = slices.Clone(pass.Strokes)
			for _, s := range pass.Strokes {
				travel, at = travel+at.Dist(s.Start()), s.End()
				for i := range s.Moves[1:] {
					if gap := s.Moves[i].Q.Dist(s.Moves[i+1].P); gap > 1e-9 {
						t.Fatalf("seed %d: a gap of %g mm", seed, gap)
					}
				}
				if gap := s.Start().Dist(s.End()); s.Closed && gap > 1e-9 {
					t.Fatalf("seed %d: a closed stroke is open by %g mm", seed, gap)
				}
			}
		}
		if math.Abs(travel-p.Travel) > 1e-6 {
			t.Errorf("seed %d: travel %g, the strokes have %g", seed, p.Travel, travel)
		}
		for _, l := range b.Layers {
			for _, s := range l.Strokes {
				moves := toolpath.Stroke{}
				for _, c := range s.Curves {
					moves.Moves = append(moves.Moves, toolpath.Move{Curve: c.Transform(p.Place)})
				}
				k := slices.IndexFunc(left[l.Kind], func(s toolpath.Stroke) bool { return same(s, moves) })
				if k < 0 {
					t.Fatalf("seed %d: a stroke of kind %s is not made", seed, l.Kind)
				}
				left[l.Kind] = slices.Delete(left[l.Kind], k, k+1)
			}
		}
		for kind, strokes := range left {
			if len(strokes) > 0 {
				t.Errorf("seed %d: %d strokes of kind %s are made twice", seed, len(strokes), kind)
			}
		}
	}
	t.Logf("%.0f %% less way", 100*saved/naive)
	if saved < naive/4 {
		t.Errorf("only %.0f of %.0f mm saved", saved, naive)
	}
}

// Law: what lies in a closed cut is made before it.
func TestInnerFirst(t *testing.T) {
	for seed := range int64(30) {
		p := made(t, plate(rand.New(rand.NewSource(seed)), 10, 10), wide(t, plainTools()...))
		for _, pass := range p.Passes {
			if pass.Kind != blank.CutLine {
				continue
			}
			for i, s := range pass.Strokes {
				var curves []geom.Curve
				for _, m := range s.Moves {
					curves = append(curves, m.Curve)
				}
				for _, later := range pass.Strokes[i+1:] {
					if s.Closed && geom.Winding(curves, later.Moves[0].At(0.5)) != 0 {
						t.Fatalf("seed %d: a cut is made after the one around it", seed)
					}
				}
			}
		}
	}
}

// Law: in what order the blank has its strokes makes no difference to the way, up to the tolerance
// of gains for each stroke.
func TestOrderOfPermutedStrokes(t *testing.T) {
	for seed := range int64(20) {
		rnd := rand.New(rand.NewSource(seed))
		b := plate(rnd, 5, 20)
		want := made(t, b, wide(t, plainTools()...)).Travel
		for _, l := range b.Layers {
			rnd.Shuffle(len(l.Strokes), func(i, j int) { l.Strokes[i], l.Strokes[j] = l.Strokes[j], l.Strokes[i] })
		}
		if got := made(t, b, wide(t, plainTools()...)).Travel; math.Abs(got-want) > 1e-4 {
			t.Errorf("seed %d: travel %g, permuted %g", seed, want, got)
		}
	}
}

// A knife begins closed cuts on straights, so far from corners that it comes back along the line
// and its overcut stays on it; where there is no such straight, on another curve;
// else in the middle of the longest. A beam may begin on corners.
func TestStartsOfClosedCuts(t *testing.T) {
	knife := board.Tool{Kind: board.Knife, Offset: 0.5, Overcut: 1}
	round := blank.Stroke{Closed: true, Curves: []geom.Curve{
		geom.ArcFrom(geom.Pt(60, 50), geom.Pt(50, 50), geom.Radians(math.Pi)), geom.ArcFrom(geom.Pt(40, 50), geom.Pt(50, 50), geom.Radians(math.Pi))}}
	for name, c := range map[string]struct {
		line   blank.Stroke
		tool   board.Tool
		corner [2]float64 // least and largest distance of the start from the nearest end of a curve
	}{
		"long sides":  {square(geom.Pt(50, 50), 60), knife, [2]float64{3.5, 30}},
		"short sides": {square(geom.Pt(50, 50), 4), knife, [2]float64{2, 2}},
		"arcs":        {round, knife, [2]float64{14, 15}},
		"beam":        {square(geom.Pt(50, 50), 4), board.Tool{Kind: board.Beam, Power: 1, Passes: 1}, [2]float64{0, 0}},
	} {
		b := &blank.Blank{Piece: &model.Piece{Name: "p"}, Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(100, 100)),
			Layers: []blank.Layer{{Kind: blank.CutLine, Strokes: []blank.Stroke{c.line}}}}
		p := made(t, b, wide(t, board.ToolUse{Line: "cut", Tool: c.tool}))
		at := p.Place.Inverse().Apply(p.Passes[0].Strokes[0].Start())
		least := math.Inf(1)
		for _, l := range c.line.Curves {
			least = min(least, l.P.Dist(at))
		}
		if least < c.corner[0]-1e-6 || least > c.corner[1]+1e-6 {
			t.Errorf("%s: begins %g mm from the end of a curve, want %v", name, least, c.corner)
		}
	}
}

// With bridges each cut is begun behind one of them, the one that suits the way, and they lie where they
// would without an order: four in a square in the middles of its sides.
func TestOrderWithNicks(t *testing.T) {
	b := plate(rand.New(rand.NewSource(3)), 40, 0)
	m := machineOf(t, board.Machine{Name: "m", Bed: [2]float64{1e4, 1e4}, Format: "hpgl", Nicks: &board.Nicks{Width: 0.5, Count: 4},
		Tools: []board.ToolUse{{Line: "cut", Tool: board.Tool{Kind: board.Knife, Offset: 0.25, Overcut: 0.5}}}})
	p := made(t, b, m)
	var middles []geom.Point
	for _, s := range b.Layers[0].Strokes {
		for _, c := range s.Curves {
			middles = append(middles, p.Place.Apply(c.At(0.5)))
		}
	}
	if want := len(middles); len(p.Passes[0].Strokes) != want || len(p.Told) > 0 {
		t.Fatalf("%d strokes, want %d; %v", len(p.Passes[0].Strokes), want, p.Told)
	}
	for _, s := range p.Passes[0].Strokes {
		for _, end := range []geom.Point{s.Start(), s.End()} {
			if !slices.ContainsFunc(middles, func(m geom.Point) bool { return math.Abs(m.Dist(end)-0.25) < 1e-6 }) {
				t.Fatalf("a cut ends at %v, at no bridge in the middle of a side", end)
			}
		}
	}
	if p.Travel > p.Naive/2 {
		t.Errorf("travel %g, %g in the blank's order", p.Travel, p.Naive)
	}
}

func TestOrderCancel(t *testing.T) {
	b := plate(rand.New(rand.NewSource(1)), 60, 60)
	m := wide(t, plainTools()...)
	canceltest.Stops(t, func(ctx context.Context) error {
		_, err := toolpath.Make(ctx, b, m)
		return err
	})
}

func BenchmarkMake(b *testing.B) {
	plate := plate(rand.New(rand.NewSource(1)), 500, 1000)
	m, err := board.NewMachine(board.Machine{Name: "m", Bed: [2]float64{1e4, 1e4}, Format: "hpgl", Tools: plainTools()})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := toolpath.Make(context.Background(), plate, m); err != nil {
			b.Fatal(err)
		}
	}
}
