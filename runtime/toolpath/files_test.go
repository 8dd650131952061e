package toolpath_test

import (
	"context"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// codes are the formats that say each run of a stroke, and their readers.
var codes = []struct {
	name  board.MachineFormat
	write func(context.Context, *toolpath.Program) ([]byte, error)
	read  func([]byte, emittest.Limits) (emittest.Work, error)
	unit  float64 // mm, the file's lattice
}{
	{board.MachineGCode, emit.GCode, emittest.ParseGCode, 0.0001},
	{board.MachineHPGL, emit.HPGL, emittest.ParseHPGL, 0.025},
}

// Law: an interpreter of a file goes as far with the tool up, and down, as the program says, but for the rounding of
// places to the file's lattice; whatever the tools, and however often a beam runs over its lines.
func TestFilesTravelAsTold(t *testing.T) {
	passes := 0
	toolpath.EachBlank(t, 60, func(t *testing.T, b *blank.Blank) {
		passes = passes%4 + 1
		feed, depth := 30.0, 1.0
		for i, tool := range []board.Tool{
			{Kind: board.Beam, Power: 1, Kerf: 0.2, Passes: passes, Feed: &feed},
			{Kind: board.Beam, Power: 1, Kerf: 0.2, Passes: passes, Feed: &feed, Lead: 2, Compensate: true},
			{Kind: board.Knife, Offset: 0.25, Overcut: 0.5, Swivel: geom.Degrees(20).Angle(), Feed: &feed, Depth: &depth, Compensate: passes%2 == 0},
		} {
			for _, format := range codes {
				m := board.Machine{Name: "m", Bed: [2]float64{b.Bounds.Width() + 40, b.Bounds.Height() + 40}, Format: format.name}
				for _, line := range board.Lines() {
					m.Tools = append(m.Tools, board.ToolUse{Line: line, Tool: tool})
				}
				if passes == 3 {
					m.Nicks = &board.Nicks{Width: 0.5, Count: 4}
				}
				p, err := toolpath.Make(t.Context(), b, machineOf(t, m))
				if err != nil {
					t.Fatal(err)
				}
				data, err := format.write(t.Context(), p)
				if err != nil {
					t.Fatal(err)
				}
				work, err := format.read(data, emittest.LimitsOf(p))
				if err != nil {
					t.Fatal(err)
				}
				down, runs := 0.0, float64(len(work.Cuts))
				for _, c := range work.Cuts {
					for _, curve := range c.Curves {
						down += curve.Length()
					}
				}
				// Starts and ends are rounded, and a led blade's start moves by a unit or two more.
				if off := math.Abs(work.Travel - p.Travel); off > 4*format.unit*(runs+1) {
					t.Errorf("%s, tool %d, %d passes: %v mm of travel, told %v", format.name, i, passes, work.Travel, p.Travel)
				}
				if off := math.Abs(down - p.Length()); off > 0.01*down+4*format.unit*(runs+1) {
					t.Errorf("%s, tool %d, %d passes: %v mm of way, told %v", format.name, i, passes, down, p.Length())
				}
			}
		}
	})
}

// Law: a blade that is dragged along what machine files say, as a reader of them understands it, cuts the
// lines of the design within 0.02 mm, whichever way it pointed before: in G-code, which rounds to 0.0001 mm, and in
// HP-GL, whose unit of 0.025 mm is a tenth of the offset.
func TestTipFollowsFiles(t *testing.T) {
	const d, within = 0.25, 0.02
	for _, format := range codes {
		worst := 0.0
		toolpath.EachBlank(t, outsidetest.Times(t, 4, 80), func(t *testing.T, b *blank.Blank) {
			feed, depth := 30.0, 1.0
			m := board.Machine{Name: "m", Bed: [2]float64{b.Bounds.Width() + 40, b.Bounds.Height() + 40}, Format: format.name}
			knife := board.Tool{Kind: board.Knife, Offset: d, Swivel: geom.Degrees(20).Angle(), Feed: &feed, Depth: &depth, Compensate: true}
			for _, line := range board.Lines() {
				m.Tools = append(m.Tools, board.ToolUse{Line: line, Tool: knife})
			}
			p, err := toolpath.Make(context.Background(), b, machineOf(t, m))
			if err != nil {
				t.Fatal(err)
			}
			data, err := format.write(context.Background(), p)
			if err != nil {
				t.Fatal(err)
			}
			work, err := format.read(data, emittest.LimitsOf(p))
			if err != nil {
				t.Fatal(err)
			}
			var strokes [][]geom.Curve
			for _, c := range work.Cuts {
				strokes = append(strokes, c.Curves)
			}
			first := strokes[0][0].Tangent(0).Angle().Radians()
			tip := toolpath.TipOf(d, first+179*math.Pi/180, strokes)[1:] // the first one is waste
			var lines [][]geom.Point
			for _, l := range b.Layers {
				for _, s := range l.Strokes {
					var placed []geom.Curve
					for _, c := range s.Curves {
						placed = append(placed, c.Transform(p.Place))
					}
					lines = append(lines, toolpath.Points(placed))
				}
			}
			off := max(toolpath.Apart(tip, lines), toolpath.Apart(lines, tip))
			worst = max(worst, off)
			if off > within {
				t.Errorf("%s: the tip is off by %v mm", format.name, off)
			}
		})
		t.Logf("%s: %v mm", format.name, worst)
	}
}
