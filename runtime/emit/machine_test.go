package emit_test

import (
	"context"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// drawn is what a program must read back as: a bed with its ways on it, in order.
func drawn(p *toolpath.Program) emittest.Drawing {
	b := &blank.Blank{Piece: p.Piece, Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(p.Machine.Bed[0], p.Machine.Bed[1]))}
	for _, pass := range p.Passes {
		l := blank.Layer{Kind: pass.Kind}
		for _, s := range pass.Strokes {
			way := blank.Stroke{Closed: s.Closed}
			for _, m := range s.Moves {
				way.Curves = append(way.Curves, m.Curve)
			}
			l.Strokes = append(l.Strokes, way)
		}
		b.Layers = append(b.Layers, l)
	}
	return emittest.Expected(b, false)
}

// Law: SVG and DXF of a machine read back as its program within the grid, in the order of
// work, on a page of the bed's size.
func TestMachineFilesHoldTheProgram(t *testing.T) {
	for seed := range int64(200) {
		b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		b.Piece = &model.Piece{Name: "p", Inside: seed%2 == 0}
		for kind, parse := range map[emit.Kind]func([]byte) (emittest.Drawing, error){
			emit.KindMachineSVG: emittest.ParseSVG, emit.KindMachineDXF: emittest.ParseDXF,
		} {
			m, err := board.NewMachine(board.Machine{
				Name: "m", Bed: [2]float64{b.Bounds.Width() + 10, b.Bounds.Height() + 20}, Margin: 4,
				Format: board.MachineFormat(kind[len("machine-"):]),
			})
			if err != nil {
				t.Fatal(err)
			}
			p, err := toolpath.Make(context.Background(), b, m)
			if err != nil {
				t.Fatal(err)
			}
			text, err := formatOf(t, kind).Program(context.Background(), p)
			if err != nil || !recognised(formatOf(t, kind), string(text)) {
				t.Fatalf("seed %d: %s: %v", seed, kind, err)
			}
			got, err := parse(text)
			if err == nil {
				err = emittest.Same(drawn(p), got, readBack)
			}
			if err != nil {
				t.Fatalf("seed %d: %s: %v", seed, kind, err)
			}
		}
	}
}
