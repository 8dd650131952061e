package toolpath_test

import (
	"context"
	"errors"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

func machineOf(t *testing.T, m board.Machine) *board.Machine {
	t.Helper()
	made, err := board.NewMachine(m)
	if err != nil {
		t.Fatal(err)
	}
	return made
}

func randomBlank(seed int64) *blank.Blank {
	b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
	b.Piece = &model.Piece{Name: "p", Inside: seed%3 == 0}
	return b
}

func boundsOf(p *toolpath.Program) geom.Box {
	box := geom.EmptyBox()
	for _, pass := range p.Passes {
		for _, s := range pass.Strokes {
			for _, m := range s.Moves {
				box = box.Union(m.Bounds())
			}
		}
	}
	return box
}

// The corner that is told is where the blank's box comes to lie, also where compensation and
// lead-ins take it in from the margin.
func TestCornerIsThePieces(t *testing.T) {
	for seed := range int64(20) {
		b := randomBlank(seed)
		size := b.Bounds.Width() + b.Bounds.Height()
		beam := board.Tool{Kind: board.Beam, Kerf: 0.3, Power: 1, Passes: 1, Lead: 2, Compensate: seed%2 == 0}
		m := machineOf(t, board.Machine{Name: "m", Bed: [2]float64{size, size}, Margin: 5, Format: "dxf", Tools: []board.ToolUse{{Line: "cut", Tool: beam}}})
		p, err := toolpath.Make(context.Background(), b, m)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		box := geom.BoxOf(p.Place.Apply(b.Bounds.Min), p.Place.Apply(b.Bounds.Max))
		if box.Min.Dist(geom.Pt(p.Corner[0], p.Corner[1])) > 1e-9 || p.Corner[0] <= m.Margin {
			t.Errorf("seed %d: the box lies at %v, the corner told is %v", seed, box, p.Corner)
		}
	}
}

// Laws of a program without compensation, for random blanks on a bed that is large enough
// one way or both: it begins at the margin and fits the room, its length by line kind is the
// blank's, every line lies where Place puts the blank's, passes are one a kind, and what is not
// made is said.
func TestPrograms(t *testing.T) {
	for seed := range int64(200) {
		b := randomBlank(seed)
		w, h := b.Bounds.Width(), b.Bounds.Height()
		bed := [2]float64{w + 10, h + 10}
		if turned := seed%2 == 0; turned {
			bed[0], bed[1] = bed[1], bed[0]
		}
		m := machineOf(t, board.Machine{Name: "m", Bed: bed, Margin: 5 - 1e-9, Format: "dxf"})
		p, err := toolpath.Make(context.Background(), b, m)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		box := boundsOf(p)
		if box.Min.X < m.Margin-1e-6 || box.Min.Y < m.Margin-1e-6 || box.Max.X > bed[0]-m.Margin+1e-6 || box.Max.Y > bed[1]-m.Margin+1e-6 {
			t.Fatalf("seed %d: %v on a bed of %v", seed, box, bed)
		}
		if len(p.Unmade) > 0 || len(p.Passes) != len(b.Layers) || p.Travel > p.Naive+1e-9 {
			t.Fatalf("seed %d: %d passes for %d layers, %v unmade, travel %g of %g", seed, len(p.Passes), len(b.Layers), p.Unmade, p.Travel, p.Naive)
		}
		lengths := map[blank.Kind]float64{}
		for _, l := range b.Layers {
			lengths[l.Kind] += l.Length()
		}
		for _, pass := range p.Passes {
			for _, s := range pass.Strokes {
				lengths[pass.Kind] -= s.Length()
			}
		}
		for kind, rest := range lengths {
			if math.Abs(rest) > 1e-6 {
				t.Fatalf("seed %d: %s differs by %g mm", seed, kind, rest)
			}
		}
		for _, l := range b.Layers {
			for _, s := range l.Strokes {
				if at := p.Place.Apply(s.Curves[0].At(0.5)); distance(p, l.Kind, at) > 1e-6 {
					t.Fatalf("seed %d: nothing of kind %s at %v", seed, l.Kind, at)
				}
			}
		}
	}
}

// distance is how far a point is from the lines of a kind.
func distance(p *toolpath.Program, kind blank.Kind, at geom.Point) float64 {
	least := math.Inf(1)
	for _, pass := range p.Passes {
		if pass.Kind != kind {
			continue
		}
		for _, s := range pass.Strokes {
			for _, m := range s.Moves {
				_, d := m.Nearest(at)
				least = math.Min(least, d)
			}
		}
	}
	return least
}

func TestNoRoom(t *testing.T) {
	b := randomBlank(1)
	m := machineOf(t, board.Machine{Name: "m", Bed: [2]float64{b.Bounds.Width() - 1, 1e4}, Format: "dxf"})
	m.Bed[1] = b.Bounds.Width() - 1
	_, err := toolpath.Make(context.Background(), b, m)
	var large *toolpath.TooLarge
	if !errors.As(err, &large) || large.Machine != "m" || max(large.X, large.Y) <= 0 {
		t.Errorf("%v", err)
	}
}

// Lines without a tool are left out and named, in the order of the blank.
func TestUnmade(t *testing.T) {
	for seed := range int64(20) {
		b := randomBlank(seed)
		m := machineOf(t, board.Machine{Name: "m", Bed: [2]float64{1e4, 1e4}, Format: "hpgl",
			Tools: []board.ToolUse{{Line: "cut", Tool: board.Tool{Kind: board.Knife}}}})
		p, err := toolpath.Make(context.Background(), b, m)
		if err != nil {
			t.Fatal(err)
		}
		var want []blank.Kind
		for _, l := range b.Layers {
			if l.Kind != blank.CutLine {
				want = append(want, l.Kind)
			}
		}
		if len(p.Unmade) != len(want) || len(p.Passes) > 1 {
			t.Errorf("seed %d: %v unmade, want %v", seed, p.Unmade, want)
		}
	}
}
