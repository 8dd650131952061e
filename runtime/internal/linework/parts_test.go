package linework

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

func parts(t *testing.T, l *Lines) []Part {
	t.Helper()
	ps, err := l.Parts(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return ps
}

// Law: k slits right across a sheet leave k + 1 parts, which add up to it.
func TestSlitsAcross(t *testing.T) {
	rng := rand.New(rand.NewSource(51))
	for range 30 {
		text := `base = panel("base", rect(100, 60))`
		k := 1 + rng.Intn(6)
		for i := range k {
			x := 100 * (float64(i) + 0.2 + 0.6*rng.Float64()) / float64(k)
			text += fmt.Sprintf("\nbase.cut(path(%.9f, -1).line(%.9f, 61))", x, x)
		}
		ps := parts(t, lines(t, text))
		sum := 0.0
		for i, p := range ps {
			sum += p.Area
			if p.Inner || len(p.Panels) != 1 || i > 0 && p.Area > ps[i-1].Area {
				t.Fatalf("part %d: %+v", i, p)
			}
		}
		if len(ps) != k+1 || math.Abs(sum-6000) > 1e-6 {
			t.Fatalf("%d slits leave %d parts of %g mm²", k, len(ps), sum)
		}
	}
}

// Law: a tree of panels hangs together, however many of its edges are cut.
func TestTreesHangTogether(t *testing.T) {
	rng := rand.New(rand.NewSource(52))
	for range 40 {
		k := modeltest.Tree(rng, 2+rng.Intn(30), geom.Rotation(geom.Radians(rng.Float64()*3), geom.Point{}))
		ps := parts(t, laid(t, k.Design))
		if len(ps) > 1 || len(ps) == 1 && (len(ps[0].Panels) == 0 || ps[0].Area < k.Area-1e-6 || ps[0].Inner) {
			t.Fatalf("%d parts", len(ps))
		}
	}
}

// Nothing is worked out where nothing can be parted.
func TestWholeBlanks(t *testing.T) {
	l := lines(t, "base = panel(\"base\", rect(60, 40))\nbase.cut(circle(10).shift(30, 20))")
	if ps := parts(t, l); ps != nil {
		t.Errorf("%d parts", len(ps))
	}
}

func TestWhatParts(t *testing.T) {
	const base = `
base = panel("base", rect(60, 90))
lid = panel("lid", rect(60, 30), on = base.top)
base.score(path(0, 10).line(60, 10))
`
	for name, c := range map[string]struct {
		text   string
		areas  []float64
		inner  bool // the last part
		hinges int  // in the last part
		scores int  // in the last part
	}{
		"a window across":   {"base.cut(rect(60, 10).shift(0, 60))", []float64{3600, 3000}, false, 1, 0},
		"a slit across":     {"base.cut(path(0, 60).line(60, 60))", []float64{3600, 3600}, false, 1, 0},
		"a slit part way":   {"base.cut(path(0, 60).line(50, 60))", []float64{7200}, false, 1, 1},
		"a ring":            {"base.cut(path(10, 5).line(30, 5).line(30, 25).line(10, 25).line(10, 5))", []float64{7200, 400}, true, 0, 1},
		"a ring over hinge": {"base.cut(path(10, 80).line(30, 80).line(30, 100).line(10, 100).line(10, 80))", []float64{7200, 400}, true, 1, 0},
		"a ring round":      {"base.cut(path(10, 40).arc(30, 40, sweep = 180))\nbase.cut(path(30, 40).arc(10, 40, sweep = 180))", []float64{7200, 100 * math.Pi}, true, 0, 0},
		"a corner":          {"base.cut(path(-5, 15).line(15, -5))", []float64{7150, 50}, false, 0, 0},
	} {
		ps := parts(t, lines(t, base+c.text))
		if len(ps) != len(c.areas) {
			t.Errorf("%s: %d parts, want %d", name, len(ps), len(c.areas))
			continue
		}
		for i, p := range ps {
			if math.Abs(p.Area-c.areas[i]) > 1e-6 {
				t.Errorf("%s: part %d has %g mm², want %g", name, i, p.Area, c.areas[i])
			}
		}
		last := ps[len(ps)-1]
		if last.Inner != c.inner || len(last.Hinges) != c.hinges || len(last.Scores) != c.scores {
			t.Errorf("%s: inner %v, %d hinges, %d scores", name, last.Inner, len(last.Hinges), len(last.Scores))
		}
	}
}

// joined reports whether two panels hang together without one of the hinges.
func joined(piece *model.Piece, a, b *model.Panel, without *model.Hinge) bool {
	seen := map[*model.Panel]bool{a: true}
	for grown := true; grown; {
		grown = false
		for _, h := range piece.Hinges {
			if h != without && seen[h.Parent] != seen[h.Child] {
				seen[h.Parent], seen[h.Child], grown = true, true, true
			}
		}
	}
	return seen[b]
}

// Law: a hinge is a bridge if and only if without it its two panels no longer
// hang together.
func TestBridgesPartWhatTheyJoin(t *testing.T) {
	rng := rand.New(rand.NewSource(61))
	bridges := 0
	for range 300 {
		piece := &model.Piece{}
		for i := range 1 + rng.Intn(12) {
			piece.Panels = append(piece.Panels, &model.Panel{Index: i})
		}
		hinge := func(a, b int) {
			piece.Hinges = append(piece.Hinges, &model.Hinge{Parent: piece.Panels[a], Child: piece.Panels[b]})
		}
		n := len(piece.Panels)
		for i := 1; i < n; i++ {
			hinge(rng.Intn(i), i)
		}
		for range rng.Intn(4) {
			if a, b := rng.Intn(n), rng.Intn(n); a != b {
				hinge(a, b)
			}
		}
		got := (&Lines{Blank: &blank.Blank{Piece: piece}}).Bridges()
		for i, h := range piece.Hinges {
			want := !joined(piece, h.Parent, h.Child, h)
			if got[i] != want {
				t.Fatalf("hinge %d of %d: bridge %v, want %v", i, len(got), got[i], want)
			}
			if want {
				bridges++
			}
		}
	}
	if bridges < 100 {
		t.Errorf("only %d bridges seen", bridges)
	}
}

// A chain of very many panels is no deeper than memory.
func TestBridgesOfALongChain(t *testing.T) {
	piece := &model.Piece{Panels: []*model.Panel{{}}}
	for i := 1; i < 200_000; i++ {
		p := &model.Panel{Index: i}
		piece.Hinges = append(piece.Hinges, &model.Hinge{Parent: piece.Panels[i-1], Child: p})
		piece.Panels = append(piece.Panels, p)
	}
	for i, bridge := range (&Lines{Blank: &blank.Blank{Piece: piece}}).Bridges() {
		if !bridge {
			t.Fatalf("hinge %d is no bridge", i)
		}
	}
}
