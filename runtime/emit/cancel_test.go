package emit_test

import (
	"context"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

// Law: each file stops being written when its context ends, wherever it is then,
// and gives no bytes.
func TestFilesStop(t *testing.T) {
	run := tray(t)
	const strokes = 4
	sheet := plate()
	knives, _, plotter := platePrograms(t)
	for name, write := range map[string]func(context.Context) ([]byte, error){
		"svg":    func(ctx context.Context) ([]byte, error) { return emit.SVG(ctx, sheet, false) },
		"dxf":    func(ctx context.Context) ([]byte, error) { return emit.DXF(ctx, sheet, false) },
		"hpgl":   func(ctx context.Context) ([]byte, error) { return emit.HPGL(ctx, plotter) },
		"gcode":  func(ctx context.Context) ([]byte, error) { return emit.GCode(ctx, knives) },
		"report": func(ctx context.Context) ([]byte, error) { return emit.Report(ctx, run) },
	} {
		looks := canceltest.Stops(t, func(ctx context.Context) error {
			text, err := write(ctx)
			if err != nil && text != nil {
				t.Errorf("%s: %d bytes beside the error", name, len(text))
			}
			return err
		})
		// Cut files are drawn and then written; programs are written as they are.
		least := map[string]int64{"svg": 2 * strokes, "dxf": 2 * strokes, "hpgl": strokes, "gcode": strokes}[name]
		if looks < least {
			t.Errorf("%s: %d looks for %d strokes", name, looks, strokes)
		}
	}
}

// A number that JSON cannot hold does not come into a report.
func TestAReportHoldsFiniteNumbers(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		run := tray(t)
		run.Blanks[0].Area = v
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v is written", v)
				}
			}()
			reportOf(run)
		}()
	}
}
