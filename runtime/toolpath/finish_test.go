package toolpath

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// eachBlank calls test with the blanks of the example designs, and with those of random trees of
// hinged panels.
func eachBlank(t *testing.T, trees int, test func(t *testing.T, b *blank.Blank)) {
	t.Helper()
	folder := filepath.Join("..", "..", "scripts")
	paths, err := filepath.Glob(filepath.Join(folder, "*.star"))
	if err != nil || len(paths) < 8 {
		t.Fatalf("%d examples, %v", len(paths), err)
	}
	read := func(label string) ([]byte, error) {
		if text, ok := stdlib.Text(label); ok {
			return text, nil
		}
		return os.ReadFile(filepath.Join(folder, filepath.FromSlash(label)))
	}
	for _, path := range paths {
		name := filepath.Base(path)
		design, found := script.Run(context.Background(), source.NewStore(read), name, script.Options{Closed: simulate.Closed})
		if design == nil {
			t.Fatalf("%s: %v", name, found)
		}
		for _, piece := range design.Pieces {
			b, _, err := blank.Lay(context.Background(), piece, design.Poses)
			if err != nil {
				t.Fatal(err)
			}
			t.Run(name, func(t *testing.T) { test(t, b) })
		}
	}
	for seed := range int64(trees) {
		rnd := rand.New(rand.NewSource(seed))
		k := modeltest.Tree(rnd, 1+rnd.Intn(12), geom.Rotation(geom.Radians(rnd.Float64()*7), geom.Pt(0, 0)))
		b, _, err := blank.Lay(context.Background(), k.Piece, k.Design.Poses)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(fmt.Sprint("tree ", seed), func(t *testing.T) { test(t, b) })
	}
}

// programOf is the blank's program with one tool for all lines, on a bed with 30 mm beside the piece
// at least.
func programOf(t *testing.T, b *blank.Blank, tool board.Tool, nicks *board.Nicks) *Program {
	t.Helper()
	m := board.Machine{Name: "m", Bed: [2]float64{b.Bounds.Width() + 70, b.Bounds.Height() + 70}, Margin: 5, Format: board.MachineDXF, Nicks: nicks}
	for _, line := range board.Lines() {
		m.Tools = append(m.Tools, board.ToolUse{Line: line, Tool: tool})
		if tool.Kind == board.Beam && line != "cut" {
			m.Tools[len(m.Tools)-1].Tool.Compensate = false
		}
	}
	machine, err := board.NewMachine(m)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Make(context.Background(), b, machine)
	if err != nil {
		t.Fatal(err)
	}
	for _, pass := range p.Passes {
		for i, s := range pass.Strokes {
			for k, m := range s.Moves {
				box := m.Bounds()
				if box.Min.X < 5-1e-6 || box.Min.Y < 5-1e-6 || box.Max.X > machine.Bed[0]-5+1e-6 || box.Max.Y > machine.Bed[1]-5+1e-6 {
					t.Errorf("%s, stroke %d: move %d leaves the bed: %v", pass.Kind, i, k, box)
				}
				if k > 0 && m.P != s.Moves[k-1].Q {
					t.Errorf("%s, stroke %d: move %d does not begin where the one before ends", pass.Kind, i, k)
				}
			}
		}
	}
	return p
}

// lines are the lines of a layer on the bed, as points.
func (p *Program) lines(l blank.Layer) [][]geom.Point {
	var out [][]geom.Point
	for _, s := range l.Strokes {
		out = append(out, points(p.stroke(s).curves()))
	}
	return out
}

// boards are the boundaries of the board, on the bed.
func (p *Program) boards(b *blank.Blank) []geom.Curve {
	var out []geom.Curve
	for _, l := range b.Layers {
		for _, s := range l.Strokes {
			if s.Rim {
				out = append(out, p.stroke(s).curves()...)
			}
		}
	}
	return out
}

// Law: whichever way the blade points before the program begins (0, 90 and 179° from its first stroke),
// its tip is on the lines of the blank whenever it cuts board, and has been all along them. What
// it cuts elsewhere, lead-ins and the stroke that turns it, is waste.
func TestTipFollowsPrograms(t *testing.T) {
	tool := knifeOf(0.25, 20)
	tool.Lead, tool.Overcut = 3, 0.5
	eachBlank(t, 12, func(t *testing.T, b *blank.Blank) {
		p := programOf(t, b, tool, nil)
		rims := geom.NewWindingIndex(p.boards(b))
		layers := map[blank.Kind]blank.Layer{}
		for _, l := range b.Layers {
			layers[l.Kind] = l
		}
		if len(p.Told) > 0 || len(p.Lost) > 0 || !p.Passes[0].Strokes[0].Waste {
			t.Fatalf("told %v, lost %v", p.Told, p.Lost)
		}
		for _, start := range []float64{0, 90, 179} {
			first := p.Passes[0].Strokes[0].Moves[0].Tangent(0).Angle().Radians()
			knife := blade{d: tool.Offset, theta: first + start*math.Pi/180}
			passes := p.Passes
			if start != 179 {
				passes = passes[:1] // what comes later begins as it does for 179°
			}
			for _, pass := range passes {
				lines := p.lines(layers[pass.Kind])
				model := newNear(lines...)
				var cut [][]geom.Point
				for i, s := range pass.Strokes {
					knife.run(s.Moves)
					cut = append(cut, knife.tip)
					waste := 0.0
					for k, at := range knife.tip {
						if model.away(at) <= onLine {
							continue
						}
						if rims.About(at) != 0 || s.Waste != (pass.Kind == p.Passes[0].Kind && i == 0) || !s.Waste && !s.Closed {
							t.Fatalf("from %v°: the tip is at %v, %v off all %s lines", start, at, model.away(at), pass.Kind)
						}
						if k > 0 {
							waste += at.Dist(knife.tip[k-1])
						}
					}
					if most := max(tool.Lead, 2*alignLength*tool.Offset); waste > most+0.1 {
						t.Errorf("from %v°: %v mm cut in waste", start, waste)
					}
				}
				made := newNear(cut...)
				for _, l := range lines {
					if off := made.furthest(l); off > onLine {
						t.Errorf("from %v°: the tip comes no nearer than %v to a %s line", start, off, pass.Kind)
					}
				}
			}
		}
	})
}

// Law: a round beam as wide as the kerf leaves the board of the model: its middle stays half a kerf from
// the boundaries, outside of them, and comes that near to all of them but where inner corners and what is
// told do not let it. All other lines stay where they are.
func TestBeamLeavesTheModel(t *testing.T) {
	for _, kerf := range []float64{0.1, 0.25} {
		eachBlank(t, 12, func(t *testing.T, b *blank.Blank) {
			p := programOf(t, b, board.Tool{Kind: board.Beam, Kerf: kerf, Power: 1, Passes: 1, Compensate: true}, nil)
			checkBeam(t, p, b, kerf)
		})
	}
}

func checkBeam(t *testing.T, p *Program, b *blank.Blank, kerf float64) {
	const fine = 2e-3 // fits of cubics and rims that nearly coincide
	boards := p.boards(b)
	rims, index := newNear(), geom.NewWindingIndex(boards)
	var inner []geom.Point // corners that a disc does not reach into, and what was told
	var edges [][]geom.Point
	for _, l := range b.Layers {
		for _, s := range l.Strokes {
			if !s.Rim {
				continue
			}
			placed := p.stroke(s)
			edges = append(edges, points(placed.curves()))
			for i, m := range placed.Moves {
				before := placed.Moves[(i+len(placed.Moves)-1)%len(placed.Moves)]
				if before.Tangent(1).Cross(m.Tangent(0))*float64(placed.side) < -1e-3 {
					inner = append(inner, m.P)
				}
			}
		}
	}
	for _, l := range p.Lost {
		inner = append(inner, p.Place.Apply(l.At))
	}
	rims = newNear(edges...)
	for _, pass := range p.Passes {
		if pass.Kind != blank.CutLine {
			continue
		}
		var ways [][]geom.Point
		for _, s := range pass.Strokes {
			way := points(s.curves())
			if s.side == 0 {
				continue
			}
			ways = append(ways, way)
			for _, at := range dense(way) {
				if off := rims.away(at); math.Abs(off-kerf/2) > fine || index.About(at) != 0 {
					t.Fatalf("the beam is %v from the board at %v", off, at)
				}
			}
		}
		made := newNear(ways...)
		for _, e := range edges {
			for _, at := range dense(e) {
				if made.away(at) < kerf/2+fine {
					continue
				}
				least := math.Inf(1)
				for _, q := range inner {
					least = min(least, q.Dist(at))
				}
				if least > 3*kerf {
					t.Fatalf("no beam comes nearer than %v to the boundary at %v, %v from an inner corner", made.away(at), at, least)
				}
			}
		}
	}
}
