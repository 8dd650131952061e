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

// Law: a blade that is dragged along what machine files say, as a reader of them understands it, cuts the
// lines of the design within 0.02 mm, whichever way it pointed before: in G-code, which rounds to 0.0001 mm, and in
// HP-GL, whose unit of 0.025 mm is a tenth of the offset.
func TestTipFollowsFiles(t *testing.T) {
	const d, within = 0.25, 0.02
	for _, format := range []struct {
		name  board.MachineFormat
		write func(context.Context, *toolpath.Program) ([]byte, error)
		read  func([]byte, emittest.Limits) (emittest.Work, error)
	}{
		{board.MachineGCode, emit.GCode, emittest.ParseGCode},
		{board.MachineHPGL, emit.HPGL, emittest.ParseHPGL},
	} {
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
