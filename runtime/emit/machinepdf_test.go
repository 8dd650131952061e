package emit_test

import (
	"context"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf/pdftest"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// program is random line work on a bed that it just fits on.
func program(t *testing.T, seed int64) *toolpath.Program {
	t.Helper()
	b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
	b.Piece = &model.Piece{Name: "piece", Inside: seed%3 == 0}
	m := board.Machine{Name: "cutter", Bed: [2]float64{b.Bounds.Width() + 21, b.Bounds.Height() + 21}, Margin: 10, Format: "pdf"}
	if seed%2 == 0 {
		for _, k := range blank.Kinds() {
			m.Tools = append(m.Tools, board.ToolUse{Line: string(k), Tool: board.Tool{Kind: board.Beam, Power: 0.5, Passes: 1}})
		}
	}
	made, err := board.NewMachine(m)
	if err != nil {
		t.Fatal(err)
	}
	p, err := toolpath.Make(context.Background(), b, made)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Laws: the PDF of a program is recognised; it has a page of the bed's size, one layer and
// one spot colour for each line kind, and the program's strokes in their order, within
// 0.001 mm; the caution for lasers is in it where there is one.
func TestMachinePDFHoldsTheProgram(t *testing.T) {
	row, _ := emit.Formats().Of(emit.KindMachinePDF)
	for seed := range int64(outsidetest.Times(t, 100, 500)) {
		p := program(t, seed)
		file, err := emit.MachinePDF(context.Background(), p)
		if err != nil || row.Check(context.Background(), file) != nil {
			t.Fatal(err, row.Check(context.Background(), file))
		}
		f, err := pdftest.Read(file)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		bed := geom.Box{Max: geom.Pt(p.Machine.Bed[0], p.Machine.Bed[1])}
		if got := f.Pages[0].Media.Max; len(f.Pages) != 1 || got.Dist(bed.Max) > 1e-5 {
			t.Errorf("the page is %v for the bed %v", got, bed)
		}
		if f.Title != "piece on cutter" || strings.HasPrefix(f.Subject, "Laser: ") != (seed%2 == 0) {
			t.Errorf("about: %q, %q", f.Title, f.Subject)
		}
		marks := f.Pages[0].Marks
		for _, pass := range p.Passes {
			for _, s := range pass.Strokes {
				m := marks[0]
				marks = marks[1:]
				var way []geom.Curve
				for _, move := range s.Moves {
					way = append(way, move.Curve)
				}
				if m.Layer != string(pass.Kind) || m.Ink != string(pass.Kind) || m.Filled || !bed.Contains(m.Paths[0].Curves[0].P) {
					t.Fatalf("seed %d: %s as %+v", seed, pass.Kind, m)
				}
				if off := max(pdftest.Apart(way, m.Paths[0].Curves), pdftest.Apart(m.Paths[0].Curves, way)); off > 1e-3 {
					t.Fatalf("seed %d: %g mm apart", seed, off)
				}
				if d := m.Paths[0].Curves[0].P.Dist(s.Start()); d > 1e-3 {
					t.Errorf("seed %d: begins %g mm off", seed, d)
				}
			}
		}
		if len(marks) > 0 || len(f.Layers) != len(p.Passes) || len(f.Inks) != len(p.Passes) {
			t.Errorf("%d marks more, %d layers, %d inks, %d passes", len(marks), len(f.Layers), len(f.Inks), len(p.Passes))
		}
	}
}

// A spot colour is shown as the line kind's in cut files; the layer carries its step.
func TestMachinePDFColours(t *testing.T) {
	p := program(t, 1)
	file, _ := emit.MachinePDF(context.Background(), p)
	f, err := pdftest.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	if cut := f.Inks["cut"]; len(cut) != 3 || max(cut[0], cut[1], cut[2]) != 0 {
		t.Errorf("cuts are %v", cut)
	}
	if score := f.Inks["score"]; len(score) != 3 || math.Abs(score[1]-0x72/255.0) > 1e-4 || score[0] != 0 {
		t.Errorf("scores are %v", score)
	}
	if top := f.Layers[0]; top != (pdftest.Layer{Name: "cut", Group: "Structural", Type: "Cutting"}) {
		t.Errorf("the topmost layer is %v", top)
	}
}

// Readers that are not ours take it without a word, and MuPDF sees the same strokes in
// the same order as our reader.
func TestMachinePDFInOtherReaders(t *testing.T) {
	emittest.NeedReaders(t)
	for seed := range int64(4) {
		file, _ := emit.MachinePDF(context.Background(), program(t, seed))
		name := filepath.Join(t.TempDir(), "machine.pdf")
		if err := os.WriteFile(name, file, 0o600); err != nil {
			t.Fatal(err)
		}
		pdftest.Check(t, name)
		f, err := pdftest.Read(file)
		seen := pdftest.Trace(t, name)
		if err != nil || len(seen) != 1 || len(seen[0]) != len(f.Pages[0].Marks) {
			t.Fatalf("MuPDF sees %d pages, %v", len(seen), err)
		}
		for i, m := range f.Pages[0].Marks {
			if got := seen[0][i]; got.Ink != m.Ink || got.Layer != m.Layer || pdftest.Apart(got.Paths[0].Curves, m.Paths[0].Curves) > 2e-3 {
				t.Errorf("MuPDF sees %s off by %g mm", got.Ink, pdftest.Apart(got.Paths[0].Curves, m.Paths[0].Curves))
			}
		}
	}
}
