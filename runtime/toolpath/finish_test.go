package toolpath

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
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
	index := geom.NewWindingIndex(boards)
	type excuse struct {
		at    geom.Point
		reach float64
	}
	var excuses []excuse // inner corners, into which a disc does not reach, and what was told
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
				turn := float64(placed.side) * geom.AngleBetween(before.Tangent(1), m.Tangent(0)).Radians()
				if turn < -1e-3 {
					excuses = append(excuses, excuse{m.P, kerf/2/math.Tan((math.Pi+turn)/2) + kerf})
				}
			}
		}
	}
	for _, l := range p.Lost {
		reach := 3 * kerf
		if strings.HasPrefix(l.Text, "a hole") {
			reach = 4 // across the largest one here
		}
		excuses = append(excuses, excuse{p.Place.Apply(l.At), reach})
	}
	rims := newNear(edges...)
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
				if !slices.ContainsFunc(excuses, func(e excuse) bool { return e.at.Dist(at) < e.reach }) {
					t.Fatalf("no beam comes nearer than %v to the boundary at %v", made.away(at), at)
				}
			}
		}
	}
}

// Law: with nicks, cuts are made but for the bridges, which are as wide on the board as asked for, whatever
// the tool: a knife's tip stops and begins at their ends, a beam takes half its kerf from either. None
// lies near the end of a hinge.
func TestBridgesOnTheBoard(t *testing.T) {
	const width = 0.6
	for name, tool := range map[string]board.Tool{"knife": knifeOf(0.3, 20), "beam": beamOf(0.2)} {
		bridges := 0
		eachBlank(t, 6, func(t *testing.T, b *blank.Blank) {
			p := programOf(t, b, tool, &board.Nicks{Width: width, Spacing: 90})
			ends := p.ends(b)
			var rims []geom.Curve
			whole, cut := 0.0, 0.0
			for _, l := range b.Layers {
				lines, _, _ := kerfed(l, tool)
				for _, s := range lines {
					if l.Kind == blank.CutLine && s.Closed {
						rims = append(rims, p.stroke(s).curves()...)
						whole += s.Length()
					} else if l.Kind == blank.CutLine {
						cut -= s.Length()
					}
				}
			}
			knife, from := blade{d: tool.Offset}, geom.Point{}
			here := 0
			for _, pass := range p.Passes {
				for _, s := range pass.Strokes {
					line := points(s.curves())
					if tool.Kind == board.Knife {
						if s.Waste {
							knife.theta = s.Moves[0].Tangent(0).Angle().Radians()
						}
						knife.run(s.Moves)
						line = knife.tip
					}
					if pass.Kind != blank.CutLine {
						continue
					}
					if !s.Waste {
						for i := 1; i < len(line); i++ {
							cut += line[i].Dist(line[i-1])
						}
					}
					start, end := line[0], line[len(line)-1]
					if gap := start.Dist(from) - tool.Kerf; gap > 1e-6 && gap < 2*width {
						here++
						if gap < 0.97*width || gap > 1.02*width {
							t.Errorf("%s: a bridge of %v mm", name, gap)
						}
						at := start.Lerp(from, 0.5)
						for _, c := range rims {
							k, d := c.Nearest(at)
							if d > 0.02 {
								continue
							}
							for _, e := range ends {
								if k2, d := c.Nearest(e); d < 0.02+tool.Kerf && c.Part(min(k, k2), max(k, k2)).Length() < 2 {
									t.Errorf("%s: a bridge at %v, where a line ends at %v", name, at, e)
								}
							}
						}
					}
					from = end
				}
			}
			bridges += here
			missing := (whole - cut) / (width + tool.Kerf)
			if n := math.Round(missing); math.Abs(missing-n)*width > 0.02*max(1, n)+whole*1e-5 || n < math.Ceil(whole/90)/2 {
				t.Errorf("%s: %v of %v mm cut, %v bridges", name, cut, whole, missing)
			}
		})
		if bridges < 50 {
			t.Errorf("%s: %d bridges between strokes in a row", name, bridges)
		}
	}
}

// Lead-ins come out of waste, run into the cut smoothly, are as long as asked for or half as long once or
// more where that has no room, and are left out where nothing has. An overcut runs over the start.
func TestLeadsAndOvercuts(t *testing.T) {
	circle := func(d float64) []geom.Curve {
		return hole(must(geom.Circle(d)).Transform(geom.Translation(50, 50)))
	}
	for _, test := range []struct {
		hole float64 // mm across
		lead float64 // mm of lead-in into it
	}{{30, 3}, {4, 0.75}, {2, 0}, {0.6, 0}} {
		l := cutsOf([][]geom.Curve{must(geom.Rect(100, 100, 0)).Curves(), circle(test.hole)})
		b := &blank.Blank{Piece: &model.Piece{Name: "p"}, Layers: []blank.Layer{l}, Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(100, 100))}
		for _, inside := range []bool{false, true} {
			b.Piece.Inside = inside // mirrored
			tool := board.Tool{Kind: board.Knife, Lead: 3, Overcut: 1.25}
			p := programOf(t, b, tool, nil)
			boards := p.boards(b)
			for _, s := range p.Passes[0].Strokes {
				whole, lead := 400.0, 3.0
				if s.Length() < 200 {
					whole, lead = test.hole*math.Pi, test.lead
				}
				over := min(1.25, whole)
				if math.Abs(s.Length()-whole-over-lead) > 1e-6 {
					t.Errorf("hole of %v: a way of %v for a cut of %v and a lead-in of %v", test.hole, s.Length(), whole, lead)
				}
				if lead == 0 {
					continue
				}
				in := s.Moves[0]
				if geom.Winding(boards, in.At(0.5)) != 0 || in.Tangent(1).Dist(s.Moves[1].Tangent(0)) > 1e-9 {
					t.Errorf("hole of %v: leads in by %v", test.hole, in)
				}
			}
		}
	}
}

// Where no waste has room to turn the blade its way, that is told, and the program is made.
func TestNoWasteToTurnTheBladeIn(t *testing.T) {
	l := cutsOf([][]geom.Curve{must(geom.Rect(100, 100, 0)).Curves()})
	b := &blank.Blank{Piece: &model.Piece{Name: "p"}, Layers: []blank.Layer{l}, Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(100, 100))}
	m := must(board.NewMachine(board.Machine{Name: "m", Bed: [2]float64{102, 102}, Format: board.MachineDXF, Tools: []board.ToolUse{{Line: "cut", Tool: knifeOf(0.5, 20)}}}))
	p, err := Make(context.Background(), b, m)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Told) != 1 || p.Told[0].Text != "no waste has room for a stroke of 5.0 mm that turns the knife's blade its way before it begins: the first cut may begin up to 1.00 mm off its line" {
		t.Errorf("told %v", p.Told)
	}
	if len(p.Passes[0].Strokes) != 1 || p.Passes[0].Strokes[0].Waste {
		t.Errorf("strokes %v", p.Passes[0].Strokes)
	}
}
