package engine

import (
	"context"
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/source"
)

// cutPiece is one piece of an example: its files, and the drawing they must
// hold by the model.
type cutPiece struct {
	name     string
	svg, dxf []byte
	want     emittest.Drawing
}

// cutPieces makes every example, in order of name.
func cutPieces(t *testing.T) []cutPiece {
	t.Helper()
	var out []cutPiece
	for _, name := range slices.Sorted(maps.Keys(examples)) {
		files := map[string][]byte{}
		for _, f := range makeExample(name, nil).Files {
			files[f.Name] = f.Bytes
		}
		design, _ := script.Run(context.Background(), source.NewStore(scriptsFolder), name, withClosed)
		for _, p := range design.Pieces {
			b, _, _ := blank.Lay(context.Background(), p, design.Poses)
			out = append(out, cutPiece{
				p.Name, files[p.Name+".cut.svg"], files[p.Name+".cut.dxf"], emittest.Expected(b, p.Inside),
			})
		}
	}
	if len(out) < len(examples) {
		t.Fatalf("only %d pieces of %d examples", len(out), len(examples))
	}
	return out
}

// The cut files of every example read back as the model within 1e-4 mm.
func TestExamplesReadBack(t *testing.T) {
	for _, p := range cutPieces(t) {
		svg, err := emittest.ParseSVG(p.svg)
		if err != nil {
			t.Fatalf("%s: %v", p.name, err)
		}
		dxf, err := emittest.ParseDXF(p.dxf)
		if err != nil {
			t.Fatalf("%s: %v", p.name, err)
		}
		for format, got := range map[string]emittest.Drawing{"SVG": svg, "DXF": dxf} {
			if err := emittest.Same(p.want, got, 1e-4); err != nil {
				t.Errorf("%s: %s: %v", p.name, format, err)
			}
		}
	}
}

// ezdxf audits the DXF of every example without a fault and finds the model's
// entities; svgelements finds the same curves, radii and lengths in the SVG.
func TestOutsideReadersReadTheExamples(t *testing.T) {
	emittest.NeedReaders(t)
	pieces := cutPieces(t)
	var svgs, dxfs [][]byte
	for _, p := range pieces {
		svgs, dxfs = append(svgs, p.svg), append(dxfs, p.dxf)
	}
	fromSVG, fromDXF := emittest.ReadSVG(t, svgs...), emittest.ReadDXF(t, dxfs...)
	for i, p := range pieces {
		if err := emittest.Same(p.want, fromDXF[i].Drawing, 1e-4); err != nil || len(fromDXF[i].Faults) > 0 {
			t.Errorf("%s: DXF: %v; audit %v", p.name, err, fromDXF[i].Faults)
		}
		if err := emittest.Same(p.want, fromSVG[i].Drawing, 1e-4); err != nil {
			t.Errorf("%s: SVG: %v", p.name, err)
		}
		for _, l := range p.want.Layers {
			if off := math.Abs(fromSVG[i].Length[l.Kind] - l.Length()); off > 0.01 {
				t.Errorf("%s: %s is %v mm long, read as %v", p.name, l.Kind, l.Length(), fromSVG[i].Length[l.Kind])
			}
		}
	}
}

// Two programs draw every example at 10 pixels to the millimetre: the ink is as
// large as the blank, to the pixel, on the lines and nowhere else.
func TestExamplesAreDrawnAtTrueSize(t *testing.T) {
	emittest.NeedReaders(t)
	for _, p := range cutPieces(t) {
		if err := emittest.CheckInk(emittest.DrawRSVG(t, p.svg), p.want); err != nil {
			t.Errorf("%s: rsvg-convert: %v", p.name, err)
		}
		if err := emittest.CheckInk(emittest.DrawChromium(t, p.svg, p.want), p.want); err != nil {
			t.Errorf("%s: Chromium: %v", p.name, err)
		}
	}
}
