package emit_test

import (
	"context"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/golden"
)

// plate is a small blank with one of everything: an outer contour with a
// quarter arc and a curve, a round window, a score, two perforation cuts.
func plate() *blank.Blank {
	pt := geom.Pt
	outer := blank.Stroke{Closed: true, Curves: []geom.Curve{
		geom.LineFrom(pt(-20, 0), pt(20, 0)),
		geom.LineFrom(pt(20, 0), pt(20, 20)),
		geom.ArcBetween(pt(20, 20), pt(10, 30), pt(10, 20), geom.Radians(math.Pi/2)),
		geom.LineFrom(pt(10, 30), pt(-10, 30)),
		geom.CubicFrom(pt(-10, 30), pt(-16, 30), pt(-20, 26), pt(-20, 20)),
		geom.LineFrom(pt(-20, 20), pt(-20, 0)),
	}}
	window := blank.Stroke{Closed: true, Curves: []geom.Curve{geom.ArcBetween(pt(5, 15), pt(5, 15), pt(0, 15), geom.Radians(-2*math.Pi))}}
	lone := func(x0, y0, x1, y1 float64) blank.Stroke {
		return blank.Stroke{Curves: []geom.Curve{geom.LineFrom(pt(x0, y0), pt(x1, y1))}}
	}
	return &blank.Blank{
		Bounds: geom.BoxOf(pt(-20, 0), pt(20, 30)),
		Layers: []blank.Layer{
			{Kind: blank.ScoreLine, Strokes: []blank.Stroke{lone(-20, 8, 20, 8)}},
			{Kind: blank.PerforatedLine, Strokes: []blank.Stroke{lone(-20, 22, -17, 22), lone(-16, 22, -13, 22)}},
			{Kind: blank.CutLine, Strokes: []blank.Stroke{outer, window}},
		},
	}
}

func TestGoldenCutFiles(t *testing.T) {
	goldens := golden.In(t, "testdata", ".svg", ".dxf")
	goldens.Check("plate.cut.svg", svgOf(plate(), false))
	goldens.Check("plate-inside.cut.svg", svgOf(plate(), true))
	goldens.Check("plate.cut.dxf", dxfOf(plate(), false))
}

// svgOf, dxfOf and reportOf are the files as a run that nobody ends makes them.
func svgOf(b *blank.Blank, inside bool) []byte {
	return whole(emit.SVG(context.Background(), b, inside))
}
func dxfOf(b *blank.Blank, inside bool) []byte {
	return whole(emit.DXF(context.Background(), b, inside))
}
func reportOf(r emit.Run) []byte { return whole(emit.Report(context.Background(), r)) }

func whole(text []byte, err error) []byte {
	if err != nil {
		panic(err)
	}
	return text
}
