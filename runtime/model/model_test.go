package model

import (
	"errors"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// at is the site of a call on a line of a made-up script.
func at(line int) source.Site {
	return source.Site{{File: "test.star", Line: line, Column: 1, EndLine: line, EndColumn: 9}}
}

// must gives the value of a call that may not fail here.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func ptr[T any](v T) *T { return &v }

// polygon is an outline through the points, its edges named in order.
func polygon(names string, pts ...geom.Point) geom.Path {
	p := geom.Path{Closed: true}
	for i, name := range strings.Fields(names) {
		p.Edges = append(p.Edges, geom.Edge{Name: name, Curve: geom.LineFrom(pts[i], pts[(i+1)%len(pts)])})
	}
	return p
}

func rectAt(x, y, w, h float64) geom.Path {
	return polygon("bottom right top left",
		geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h))
}

func rect(w, h float64) geom.Path { return rectAt(0, 0, w, h) }

// dome is a rect whose top is half a circle of its width, so its edge "top"
// bulges out; with hollow the half circle is taken away instead.
func dome(w, h float64, hollow bool) geom.Path {
	p := rect(w, h)
	sweep := math.Pi
	if hollow {
		sweep = -sweep
	}
	p.Edges[2].Curve = geom.ArcFrom(geom.Pt(w, h), geom.Pt(w/2, h), geom.Radians(sweep))
	p.Edges[2].Q = geom.Pt(0, h)
	return p
}

func line(pts ...geom.Point) geom.Path {
	p := geom.Path{}
	for i := 1; i < len(pts); i++ {
		p.Edges = append(p.Edges, geom.Edge{Name: "e", Curve: geom.LineFrom(pts[i-1], pts[i])})
	}
	return p
}

// newFront is a design with a root "front", 60 × 40 mm.
func newFront() (*Builder, *Panel) {
	b := NewBuilder(nil)
	return b, must(b.Panel(at(1), PanelSpec{Name: "front", Outline: rect(60, 40)}))
}

func edge(b *Builder, p *Panel, name string) EdgeRef { return must(b.Edge(nil, p, name)) }

// hung is a panel hung on an edge of another.
func hung(b *Builder, name string, outline geom.Path, on EdgeRef) *Panel {
	return must(b.Panel(at(len(b.design.Panels)+1), PanelSpec{Name: name, Outline: outline, On: &on}))
}

// fault is one call that must be refused.
type fault struct {
	name    string
	err     error
	message string
	hint    string // "" when any will do
}

// refuse checks each fault's message word for word, and that its site is
// that of the call, line 99, its rule "script" and its severity error.
func refuse(t *testing.T, faults []fault) {
	t.Helper()
	for _, f := range faults {
		var got *diag.Finding
		switch {
		case !errors.As(f.err, &got) || got == nil:
			t.Errorf("%s: got %v, want a finding %q", f.name, f.err, f.message)
		case got.Message != f.message:
			t.Errorf("%s:\n got %s\nwant %s", f.name, got.Message, f.message)
		case f.hint != "" && got.Hint != f.hint:
			t.Errorf("%s: hint %q, want %q", f.name, got.Hint, f.hint)
		case got.Rule != diag.RuleScript || got.Severity != diag.Error || got.Site.First().Line != 99:
			t.Errorf("%s: rule %q, severity %s, line %d", f.name, got.Rule, got.Severity, got.Site.First().Line)
		}
	}
}

// failed gives the error of a call and drops its value.
func failed[T any](_ T, err error) error { return err }

func near(t *testing.T, what string, got, want geom.Point, tol float64) {
	t.Helper()
	if d := got.Dist(want); !(d <= tol) {
		t.Errorf("%s: (%g, %g), want (%g, %g), %g apart", what, got.X, got.Y, want.X, want.Y, d)
	}
}

// sameMotion compares two motions entry by entry.
func sameMotion(t *testing.T, what string, got, want geom.Isometry, tol float64) {
	t.Helper()
	g := [...]float64{got.A, got.B, got.C, got.D, got.E, got.F}
	w := [...]float64{want.A, want.B, want.C, want.D, want.E, want.F}
	for i := range g {
		if !(math.Abs(g[i]-w[i]) <= tol) {
			t.Errorf("%s: %v, want %v", what, g, w)
			return
		}
	}
}

func randomMotion(rng *rand.Rand) geom.Isometry {
	turn := geom.Rotation(geom.Radians(rng.Float64()*2*math.Pi), geom.Pt(0, 0))
	return turn.Then(geom.Translation(rng.Float64()*200-100, rng.Float64()*200-100))
}

var nan, inf = math.NaN(), math.Inf(1)

// randomOutline is an outline with by as one edge, named "by", and a few more
// edges e0, e1 … of all three kinds on its left.
func randomOutline(rng *rand.Rand, by geom.Curve) geom.Path {
	p := geom.Path{Closed: true, Edges: []geom.Edge{{Name: "by", Curve: by}}}
	out := by.Q.Sub(by.P).Left()
	from := by.Q
	n := 2 + rng.Intn(3)
	for i := range n {
		// Round the far side of by, like the rim of a fan.
		f := float64(i+1) / float64(n)
		to := by.Q.Lerp(by.P, f).Add(out.Mul((0.8 + rng.Float64()) * math.Sin(math.Pi*f) * 0.7))
		if i == n-1 {
			to = by.P
		}
		p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprint("e", i), Curve: randomCurve(rng, from, to)})
		from = to
	}
	return p
}

func randomCurve(rng *rand.Rand, p, q geom.Point) geom.Curve {
	side := q.Sub(p).Left().Mul(0.1 * (rng.Float64() - 0.5))
	switch rng.Intn(3) {
	case 0:
		return geom.LineFrom(p, q)
	case 1:
		return must(geom.ArcSweep(p, q, geom.Radians(0.1+rng.Float64())))
	}
	return geom.CubicFrom(p, p.Lerp(q, 0.3).Add(side), p.Lerp(q, 0.7).Sub(side), q)
}

// tree is a recipe for a random hinge tree, so that it can be built twice.
type tree struct {
	root  geom.Path
	hangs []struct {
		parent, edge int
		outline      geom.Path // its edge "by" fits the parent's
		slide        float64
	}
}

// randomTree plans n panels; each hangs on an edge of an earlier one that is
// free, drawn anywhere in its own frame.
func randomTree(rng *rand.Rand, n int) tree {
	t := tree{root: randomOutline(rng, geom.LineFrom(geom.Pt(0, 0), geom.Pt(50+rng.Float64()*50, 0)))}
	outlines := []geom.Path{t.root}
	free := [][2]int{}
	offer := func(i int) {
		for e := 1; e < len(outlines[i].Edges); e++ {
			free = append(free, [2]int{i, e})
		}
	}
	offer(0)
	for range n - 1 {
		k := rng.Intn(len(free))
		on := free[k]
		free = append(free[:k], free[k+1:]...)
		by := outlines[on[0]].Edges[on[1]].Curve.Transform(randomMotion(rng)).Reverse()
		slide := 0.0
		if by.Kind != geom.Cubic {
			slide = (rng.Float64() - 0.5) * by.Length()
		}
		outlines = append(outlines, randomOutline(rng, by))
		t.hangs = append(t.hangs, struct {
			parent, edge int
			outline      geom.Path
			slide        float64
		}{on[0], on[1], outlines[len(outlines)-1], slide})
		offer(len(outlines) - 1)
	}
	return t
}

// build makes the tree with its root drawn moved by m.
func (t tree) build(m geom.Isometry) []*Panel {
	b := NewBuilder(nil)
	must(b.Panel(nil, PanelSpec{Name: "0", Outline: t.root.Transform(m)}))
	for i, h := range t.hangs {
		parent := b.design.Panels[h.parent]
		on := edge(b, parent, parent.Outline.Edges[h.edge].Name)
		must(b.Panel(nil, PanelSpec{Name: fmt.Sprint(i + 1), Outline: h.outline, On: &on, By: "by", Slide: h.slide}))
	}
	return b.design.Panels
}

// BenchmarkBuild builds and finishes blanks of growing size: rows of panels
// side by side, each row begun on the one before.
func BenchmarkBuild(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				buildRows(n)
			}
		})
	}
}

// BenchmarkSharedEdge hangs n panels on one long edge.
func BenchmarkSharedEdge(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				d := NewBuilder(nil)
				root := must(d.Panel(nil, PanelSpec{Name: "root", Outline: rect(float64(n), 5)}))
				top := edge(d, root, "top")
				for i := range n {
					hung(d, fmt.Sprint(i), rect(1, 5), must(d.Part(nil, top, float64(i), float64(i+1))))
				}
			}
		})
	}
}

// buildRows lays n rects in rows of a hundred.
func buildRows(n int) *Design {
	b := NewBuilder(nil)
	shape := rect(10, 10)
	root := must(b.Panel(nil, PanelSpec{Name: "0", Outline: shape}))
	rowStart, last := root, root
	for i := 1; i < n; i++ {
		if i%100 == 0 {
			rowStart = hung(b, fmt.Sprint(i), shape, edge(b, rowStart, "top"))
			last = rowStart
			continue
		}
		last = hung(b, fmt.Sprint(i), shape, edge(b, last, "right"))
	}
	must(b.Piece(nil, PieceSpec{Name: "rows", Root: root, Board: card, Copies: 1}))
	return must(b.Finish())
}

// The rows lie where they should: the last panel of 10,000 is in row 99,
// column 99.
func TestRows(t *testing.T) {
	d := buildRows(10_000)
	sameMotion(t, "last panel", d.Panels[9_999].Flat, geom.Translation(990, 990), 1e-9)
	if len(d.Pieces[0].Panels) != 10_000 || len(d.Pieces[0].Hinges) != 9_999 {
		t.Errorf("%d panels, %d hinges", len(d.Pieces[0].Panels), len(d.Pieces[0].Hinges))
	}
}
