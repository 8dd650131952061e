package region

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

// square is the four sides of a square, counter-clockwise from its lower left.
func square(x, y, side float64) []geom.Curve {
	return chain(geom.Pt(x, y), geom.Pt(x+side, y), geom.Pt(x+side, y+side), geom.Pt(x, y+side))
}

// chain is the closed polygon through the points.
func chain(pts ...geom.Point) []geom.Curve {
	var cs []geom.Curve
	for i, p := range pts {
		cs = append(cs, geom.LineFrom(p, pts[(i+1)%len(pts)]))
	}
	return cs
}

// circle is a full turn in four quarter arcs.
func circle(c geom.Point, r float64) []geom.Curve {
	var cs []geom.Curve
	for i := range 4 {
		cs = append(cs, geom.ArcFrom(c.Add(geom.Polar(r, geom.Radians(float64(i)*math.Pi/2))), c, geom.Radians(math.Pi/2)))
	}
	return cs
}

// panelGrid is n by n squares side by side, each with its own four sides.
func panelGrid(n int) []geom.Curve {
	var cs []geom.Curve
	for y := range n {
		for x := range n {
			cs = append(cs, square(float64(x)*10, float64(y)*10, 10)...)
		}
	}
	return cs
}

// checkArrangement holds an arrangement to its promises: uses cover every
// curve once and end to end, pieces are what the first use says, nodes are the
// pieces' ends.
func checkArrangement(t *testing.T, curves []geom.Curve, a Arrangement) {
	t.Helper()
	type stretch struct{ t0, t1 float64 }
	covered := make([][]stretch, len(curves))
	for i, p := range a.Edges {
		if p.P != a.Nodes[p.From] || p.Q != a.Nodes[p.To] {
			t.Fatalf("piece %d runs %v to %v, its nodes are %v and %v", i, p.P, p.Q, a.Nodes[p.From], a.Nodes[p.To])
		}
		if p.Origins[0].Reversed {
			t.Fatalf("piece %d runs against its first use", i)
		}
		if p.Kind == geom.Arc {
			if d := math.Max(math.Abs(p.P.Dist(p.C)-p.R), math.Abs(p.Q.Dist(p.C)-p.R)); d > 1e-8 {
				t.Errorf("piece %d: arc ends lie %g off its circle", i, d)
			}
			if d := geom.Rotation(p.Sweep, p.C).Apply(p.P).Dist(p.Q); d > 1e-8 {
				t.Errorf("piece %d: arc's sweep misses its end by %g", i, d)
			}
		}
		for k, u := range p.Origins {
			if k > 0 && p.Origins[k-1].Curve > u.Curve {
				t.Fatalf("piece %d: uses out of order", i)
			}
			mid := curves[u.Curve].At((u.T0 + u.T1) / 2)
			if _, d := p.Nearest(mid); d > 3*geom.SnapTolerance {
				t.Errorf("piece %d lies %g from curve %d that uses it", i, d, u.Curve)
			}
			covered[u.Curve] = append(covered[u.Curve], stretch{u.T0, u.T1})
		}
	}
	for i, ss := range covered {
		slices.SortFunc(ss, func(x, y stretch) int {
			if x.t0 < y.t0 {
				return -1
			}
			return 1
		})
		at := 0.0
		for _, s := range ss {
			if s.t0 < at || curves[i].At(at).Dist(curves[i].At(s.t0)) > 5*geom.SnapTolerance {
				t.Errorf("curve %d is covered up to %v, then from %v", i, at, s.t0)
			}
			at = s.t1
		}
		if at != 1 && curves[i].Length() > 5*geom.SnapTolerance {
			t.Errorf("curve %d is covered up to %v only", i, at)
		}
	}
}

func TestArrangeCounts(t *testing.T) {
	tests := []struct {
		name          string
		curves        []geom.Curve
		nodes, pieces int
	}{
		{"nothing", nil, 0, 0},
		{"one square", square(0, 0, 10), 4, 4},
		{"two squares side by side", append(square(0, 0, 10), square(10, 0, 10)...), 6, 7},
		{"two squares crossing", append(square(0, 0, 10), square(5, 5, 10)...), 10, 12},
		{"a small square on a long side", append(square(0, 0, 10), square(10, 3, 4)...), 8, 9},
		{"the same square twice", append(square(0, 0, 10), square(0, 0, 10)...), 4, 4},
		{"a square touching in a corner", append(square(0, 0, 10), square(10, 10, 10)...), 7, 8},
		{"a corner touching a side", append(square(0, 0, 10), chain(geom.Pt(10, 5), geom.Pt(15, 0), geom.Pt(15, 10))...), 7, 8},
		{"circle in a square, touching", append(square(-5, -5, 10), circle(geom.Pt(0, 0), 5)...), 8, 12},
		{"grid of nine", panelGrid(3), 16, 24},
		{"a full circle crossed by a line", []geom.Curve{
			geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi)), geom.LineFrom(geom.Pt(0, -9), geom.Pt(0, 9))}, 5, 6},
		{"most of a circle alone", []geom.Curve{geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Degrees(340).Angle())}, 2, 1},
		{"nearly all of a circle alone", []geom.Curve{geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Degrees(350).Angle())}, 3, 2},
		{"a full circle alone", []geom.Curve{geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))}, 1, 1},
		{"a loop in a curve", []geom.Curve{geom.CubicFrom(geom.Pt(0, 0), geom.Pt(20, 10), geom.Pt(-10, 10), geom.Pt(10, 0))}, 3, 3},
		{"too short to see", []geom.Curve{geom.LineFrom(geom.Pt(0, 0), geom.Pt(0.0005, 0))}, 0, 0},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			a := Arrange(test.curves)
			if len(a.Nodes) != test.nodes || len(a.Edges) != test.pieces {
				t.Errorf("%d nodes and %d pieces, want %d and %d", len(a.Nodes), len(a.Edges), test.nodes, test.pieces)
			}
			checkArrangement(t, test.curves, a)
		})
	}
}

// A shared edge drawn once by each panel is one piece with two uses that run
// opposite ways.
func TestArrangeSharedEdge(t *testing.T) {
	a := Arrange(append(square(0, 0, 10), square(10, 0, 10)...))
	for _, p := range a.Edges {
		if p.P.X == 10 && p.Q.X == 10 {
			want := []Origin{{Curve: 1, T1: 1}, {Curve: 7, Reversed: true, T1: 1}}
			if !slices.Equal(p.Origins, want) {
				t.Errorf("uses %+v, want %+v", p.Origins, want)
			}
			return
		}
	}
	t.Error("no shared piece")
}

// Law: on n by n squares each inner side is one piece with two uses, each
// outer side one with one.
func TestArrangeGrid(t *testing.T) {
	const n = 12
	curves := panelGrid(n)
	a := Arrange(curves)
	checkArrangement(t, curves, a)
	uses := map[int]int{}
	for _, p := range a.Edges {
		uses[len(p.Origins)]++
	}
	if len(a.Nodes) != (n+1)*(n+1) || uses[1] != 4*n || uses[2] != 2*n*(n-1) || len(uses) != 2 {
		t.Errorf("%d nodes, pieces by number of uses %v", len(a.Nodes), uses)
	}
}

// randomCurves is a tangle of lines, arcs and cubics, some of them repeated,
// reversed or overlapping in part.
func randomCurves(rnd *rand.Rand, n int) []geom.Curve {
	pt := func() geom.Point { return geom.Pt(rnd.Float64()*50, rnd.Float64()*50) }
	var cs []geom.Curve
	for len(cs) < n {
		var c geom.Curve
		switch rnd.Intn(5) {
		case 0, 1:
			c = geom.LineFrom(pt(), pt())
		case 2:
			c = geom.ArcFrom(pt(), pt(), geom.Radians((rnd.Float64()*2-1)*6))
		case 3:
			c = geom.CubicFrom(pt(), pt(), pt(), pt())
		default:
			if len(cs) == 0 {
				continue
			}
			c = cs[rnd.Intn(len(cs))].Part(rnd.Float64()*0.4, 0.6+rnd.Float64()*0.4)
			if rnd.Intn(2) == 0 {
				c = c.Reverse()
			}
		}
		cs = append(cs, c)
	}
	return cs
}

// Law: the lengths of all uses add up to the lengths of all curves, and every
// point of every curve is covered once.
func TestArrangeCoversOnce(t *testing.T) {
	for seed := range int64(60) {
		rnd := rand.New(rand.NewSource(seed))
		curves := randomCurves(rnd, 4+rnd.Intn(20))
		a := Arrange(curves)
		checkArrangement(t, curves, a)
		given, used := 0.0, 0.0
		for _, c := range curves {
			given += c.Length()
		}
		for _, p := range a.Edges {
			for _, u := range p.Origins {
				used += curves[u.Curve].Part(u.T0, u.T1).Length()
			}
		}
		if math.Abs(given-used) > 1e-2 {
			t.Errorf("seed %d: curves %.6f mm, uses %.6f mm", seed, given, used)
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

// Law: no two pieces meet but in nodes they share.
func TestArrangeLeavesNoCrossing(t *testing.T) {
	for seed := range int64(40) {
		rnd := rand.New(rand.NewSource(seed))
		a := Arrange(randomCurves(rnd, 4+rnd.Intn(12)))
		for i, p := range a.Edges {
			for _, q := range a.Edges[i+1:] {
				for _, m := range geom.Intersect(p.Curve, q.Curve) {
					at := p.At((m.A0 + m.A1) / 2)
					if d := math.Min(at.Dist(p.P), at.Dist(p.Q)); d > 0.1 {
						t.Errorf("seed %d: pieces still meet at %v, %g from their ends", seed, at, d)
					}
				}
			}
		}
	}
}

// Law: the same input gives the same arrangement, bit for bit.
func TestArrangeIsDeterministic(t *testing.T) {
	curves := randomCurves(rand.New(rand.NewSource(7)), 40)
	if a, b := fmt.Sprint(Arrange(curves)), fmt.Sprint(Arrange(curves)); a != b {
		t.Error("two runs differ")
	}
}

// Ends up to a weld apart become one node, and an arc that is met slightly off
// keeps its radius.
func TestArrangeSnaps(t *testing.T) {
	const off = 0.8 * geom.SnapTolerance
	arc := geom.ArcFrom(geom.Pt(30, 0), geom.Pt(0, 0), geom.Radians(math.Pi/2))
	curves := []geom.Curve{
		geom.LineFrom(geom.Pt(0, 0), geom.Pt(30+off, 0)),
		arc,
		geom.LineFrom(geom.Pt(off, 30), geom.Pt(0, off)),
		geom.LineFrom(geom.Pt(50, 50), arc.At(0.4).Add(geom.Polar(off, geom.Radians(0.7)))), // stops short of the arc
	}
	a := Arrange(curves)
	checkArrangement(t, curves, a)
	if len(a.Nodes) != 5 || len(a.Edges) != 5 {
		t.Fatalf("%d nodes, %d pieces, want 5 and 5", len(a.Nodes), len(a.Edges))
	}
	for _, p := range a.Edges {
		if p.Kind == geom.Arc && (p.R != arc.R || p.C != arc.C) {
			t.Errorf("arc became %v about %v", p.R, p.C)
		}
	}
}

// A row of ends 0.9 weld apart must not melt into one node.
func TestArrangeDoesNotChainFar(t *testing.T) {
	var curves []geom.Curve
	for i := range 100 {
		x := float64(i) * 0.9 * geom.SnapTolerance
		curves = append(curves, geom.LineFrom(geom.Pt(x, 0), geom.Pt(float64(i)-50, 20)))
	}
	a := Arrange(curves)
	for _, p := range a.Edges {
		for _, u := range p.Origins {
			if d := curves[u.Curve].At(u.T0).Dist(p.At(0)); !u.Reversed && d > 1.5*maxNodeSpan {
				t.Errorf("curve %d moved by %g", u.Curve, d)
			}
		}
	}
}

// Law: curves that run within the snap tolerance of each other all along become
// the same edges, although a third crosses them at so small an angle that it
// meets the one further on than the other.
func TestOverlapsAreCutAlike(t *testing.T) {
	rnd := rand.New(rand.NewSource(19))
	for range 200 {
		off := (0.3 + 0.6*rnd.Float64()) * geom.SnapTolerance
		at, slope := 5+30*rnd.Float64(), geom.Radians(0.02+0.1*rnd.Float64())
		dir := geom.Polar(30, slope)
		curves := []geom.Curve{
			geom.LineFrom(geom.Pt(0, 0), geom.Pt(40, 0)), geom.LineFrom(geom.Pt(40, off), geom.Pt(0, off)),
			geom.LineFrom(geom.Pt(at, 0).Sub(dir), geom.Pt(at, 0).Add(dir)),
		}
		rnd.Shuffle(2, func(i, j int) { curves[i], curves[j] = curves[j], curves[i] })
		a := Arrange(curves)
		checkArrangement(t, curves, a)
		for _, e := range a.Edges {
			if e.Origins[0].Curve < 2 && (len(e.Origins) < 2 || e.Origins[1].Curve != 1) {
				t.Fatalf("the edge %v is one curve's alone, crossed at %v", e, slope)
			}
		}
	}
}

// A line that passes an arc within the snap tolerance gets its node on the arc,
// which keeps its circle to the bit, whichever of the two comes first.
func TestTouchesLieOnArcs(t *testing.T) {
	arc := geom.ArcFrom(geom.Pt(30, 0), geom.Pt(0, 0), geom.Radians(math.Pi/2))
	for i := range 20 {
		turn := geom.Radians(0.2 + 0.05*float64(i))
		at, along := geom.Polar(30+0.8*geom.SnapTolerance, turn), geom.Polar(10, turn).Left()
		curves := []geom.Curve{geom.LineFrom(at.Sub(along), at.Add(along)), arc}
		if i%2 == 0 {
			curves[0], curves[1] = curves[1], curves[0]
		}
		a := Arrange(curves)
		arcs := 0
		for _, e := range a.Edges {
			if e.Kind == geom.Arc {
				arcs++
				if e.R != arc.R || e.C != arc.C {
					t.Fatalf("touched at %v the arc became %v", turn, e.Curve)
				}
			}
		}
		if arcs != 2 {
			t.Fatalf("touched at %v the arc is in %d", turn, arcs)
		}
	}
}

// Near looks at its context while it builds the boxes, and visits no pair once that
// has ended.
func TestNearStops(t *testing.T) {
	curves := make([]geom.Curve, 2000)
	for i := range curves {
		curves[i] = geom.LineFrom(geom.Pt(0, float64(i)), geom.Pt(1, float64(i)))
	}
	looks := canceltest.EndsAt(0)
	pairs := 0
	Near(looks, curves, 2, func(i, j int) bool { pairs++; return true })
	if n := looks.Looks(); pairs == 0 || n < 20 {
		t.Fatalf("%d looks at %d curves, %d pairs", n, len(curves), pairs)
	}
	ended := canceltest.EndsAt(5)
	Near(ended, curves, 2, func(i, j int) bool { t.Error("a pair after the end"); return false })
	if n := ended.Looks(); n > 6 {
		t.Errorf("%d looks after the end", n-5)
	}
}
