package emit_test

import (
	"bytes"
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file in testdata.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	name = filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(name, got, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; run with -update and look at the difference\n%s", name, got)
	}
}

// plate is a small blank with one of everything: an outer contour with a
// quarter arc and a curve, a round window, a score, two perforation cuts.
func plate() *blank.Blank {
	pt := geom.Pt
	outer := blank.Stroke{Closed: true, Curves: []geom.Curve{
		geom.LineFrom(pt(-20, 0), pt(20, 0)),
		geom.LineFrom(pt(20, 0), pt(20, 20)),
		geom.ArcBetween(pt(20, 20), pt(10, 30), pt(10, 20), math.Pi/2),
		geom.LineFrom(pt(10, 30), pt(-10, 30)),
		geom.CubicFrom(pt(-10, 30), pt(-16, 30), pt(-20, 26), pt(-20, 20)),
		geom.LineFrom(pt(-20, 20), pt(-20, 0)),
	}}
	window := blank.Stroke{Closed: true, Curves: []geom.Curve{geom.ArcBetween(pt(5, 15), pt(5, 15), pt(0, 15), -2*math.Pi)}}
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
	golden(t, "plate.cut.svg", emit.SVG(plate(), false))
	golden(t, "plate-inside.cut.svg", emit.SVG(plate(), true))
	golden(t, "plate.cut.dxf", emit.DXF(plate(), false))
}
