package model

import (
	"errors"
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
