package emittest_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

// code is a good file and the machine it is for.
func code(t *testing.T, name string) (string, emittest.Limits) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	limits := emittest.Limits{Bed: [2]float64{60, 50}}
	if name == "knives.gcode" {
		limits.Depth = map[int]float64{1: 0.2, 2: 0.5}
	}
	return string(text), limits
}

// Each of these changes to a good file must be refused: what is unknown, what would move a
// tool through the board or off the bed, what would burn without moving, what a controller or a
// plotter would refuse itself.
func TestCodeReadersAreStrict(t *testing.T) {
	const knives, beams, plotter = "knives.gcode", "beams.gcode", "plotter.hpgl"
	for _, c := range []struct{ file, from, to string }{
		{knives, "G21 G90 G17 G94\n", ""},
		{knives, "G21 ", "G20 "},
		{knives, "G90 ", "G91 "},
		{knives, "G94\nG0 Z5\n", "G94\n"},
		{knives, "M6\nG0 Z5\n", "M6\n"},
		{knives, "F2400\n", ""},
		{knives, "F2400\n", "F0\n"},
		{knives, "Z-0.2\n", "Z-0.3\n"},
		{knives, "Z-0.5\n", "Z-0.5001\n"},
		{knives, "G1 Z-0.5", "G0 Z-0.5"},
		{knives, "G1 Z-0.5\nG1 X8.0000", "G1 X8.0000"},
		{knives, "G0 Z5\nG0 X9.0000", "G0 X9.0000"},
		{knives, "G0 Z5\nM2", "M2"},
		{knives, "M2\n", ""},
		{knives, "M2\n", "M2\nG0 X0.0000 Y0.0000\n"},
		{knives, "T2 M6\n", ""},
		{knives, "G0 Z5\n(perforated", "(perforated"},
		{knives, "X45.0000 Y25.0000", "X60.0001 Y25.0000"},
		{knives, "X45.0000 Y25.0000", "X-0.0001 Y25.0000"},
		{knives, "X45.0000 Y25.0000", "X45.000 Y25.0000"},
		{knives, "X45.0000 Y25.0000", "X4.5e1 Y25.0000"},
		{knives, "X45.0000 Y25.0000", "X45.0000  Y25.0000"},
		{knives, "I-10.0000 J0.0000", "I-10.0000 J-0.0000"},
		{knives, "I-10.0000 J0.0000", "I-10.0030 J0.0000"},
		{knives, "I-10.0000 J0.0000", "R10.0000"},
		{knives, "I-5.0000 J0.0000", "I-5.0000 J0.0021"},
		{knives, "G1 X45.0000", "G01 X45.0000"},
		{knives, "G1 X45.0000", "G1 G41 X45.0000"},
		{knives, "G1 X45.0000", "G4 P1\nG1 X45.0000"},
		{knives, "(piece: plate)", "(piece: pl(ate)"},
		{knives, "(piece: plate)", "(piece: pläte)"},
		{knives, "(piece: plate)", "(piece: plate) G0 Z0"},
		{knives, "(piece: plate)", "(piece: plate!)"},
		{knives, "(piece: plate)", "; piece: plate"},
		{beams, "M5\nG0 X9.0000", "G0 X9.0000"},
		{beams, "M3 S150\n", ""},
		{beams, "M3 S150\n", "M3 S1001\n"},
		{beams, "M3 S150\n", "M3\n"},
		{beams, "M3 S150\n", "M3 S150\nM3 S150\n"},
		{beams, "M3 S150\n", "G1 Z-0.2\n"},
		{beams, "M5\nM2", "M2"},
		{plotter, "IN;\n", ""},
		{plotter, "PA;\n", ""},
		{plotter, "PA;\n", "PR;\n"},
		{plotter, "SP1;\n", ""},
		{plotter, "SP1;\n", "SP0;\n"},
		{plotter, "SP1;\n", "SP1;IN;\n"},
		{plotter, "SP1;\n", "SP1\n"},
		{plotter, "VS4;\n", "VS128;\n"},
		{plotter, "VS4;\n", "VS4.0;\n"},
		{plotter, "VS4;\n", "FS4;\n"},
		{plotter, "PU;\nSP2;", "SP2;"},
		{plotter, "PU;\nSP0;\n", "SP0;\n"},
		{plotter, "PD1800,520", "PD1800.5,520"},
		{plotter, "PD1800,520", "PD1800"},
		{plotter, "PD1800,520", "PD2401,520"},
		{plotter, "PD1800,520", "PD-1,520"},
		{plotter, "PD1800,520", "PD200,520"},
		{plotter, "PD1800,520", "PD 1800,520"},
		{plotter, "PU360,1080", "PU360,2001"},
		{plotter, "AA1400,1000,90,5", "AA1400,1000,90"},
		{plotter, "AA1400,1000,90,5", "AA1400,1000,90,15"},
		{plotter, "AA1400,1000,90,5", "AA1400,1000,90,0.2"},
		{plotter, "AA1400,1000,90,5", "AA1400,1000,89.8,5"},
		{plotter, "AA1400,1000,90,5", "AA1402,1000,90,5"},
		{plotter, "AA1400,1000,90,5", "AA1400,1000,450,5"},
		{plotter, "PD;\nAA", "AA"},
		{plotter, "5;\nPD800,800;\n", "5;\n"},
	} {
		good, limits := code(t, c.file)
		read := emittest.ParseGCode
		if c.file == plotter {
			read = emittest.ParseHPGL
		}
		if _, err := read([]byte(good), limits); err != nil {
			t.Fatal(err)
		}
		bad := strings.Replace(good, c.from, c.to, 1)
		if bad == good {
			t.Errorf("%s: nothing to change: no %q", c.file, c.from)
		} else if _, err := read([]byte(bad), limits); err == nil {
			t.Errorf("%s: takes %q for %q", c.file, c.to, c.from)
		}
	}
}

// Two ways are the same only when each follows the other from end to end, in order.
func TestSamePath(t *testing.T) {
	pt := geom.Pt
	line := func(pts ...geom.Point) (out []geom.Curve) {
		for i := range pts[1:] {
			out = append(out, geom.LineFrom(pts[i], pts[i+1]))
		}
		return out
	}
	half := []geom.Curve{geom.ArcFrom(pt(10, 0), pt(0, 0), geom.Degrees(180).Angle())}
	for i, c := range []struct {
		a, b []geom.Curve
		same bool
	}{
		{half, []geom.Curve{half[0].Part(0, 0.3), half[0].Part(0.3, 1)}, true},
		{half, []geom.Curve{geom.ArcFrom(pt(10, 0), pt(0, 0), geom.Degrees(-180).Angle())}, false},
		{half, []geom.Curve{half[0].Reverse()}, false},
		{half, line(half[0].P, half[0].Q), false},
		{half, line(append([]geom.Point{half[0].P}, half[0].Flatten(nil, 0.009)...)...), true},
		{half, line(append([]geom.Point{half[0].P}, half[0].Flatten(nil, 0.05)...)...), false},
		{line(pt(0, 0), pt(9, 0)), line(pt(0, 0), pt(5, 0), pt(5, 3), pt(5, 0), pt(9, 0)), false}, // a way aside
		{line(pt(0, 0), pt(9, 0)), line(pt(0, 0), pt(8, 0)), false},
		{line(pt(0, 0), pt(9, 0), pt(9, 9), pt(0, 0)), line(pt(0, 0), pt(9, 9), pt(9, 0), pt(0, 0)), false},
	} {
		if err := emittest.SamePath(c.a, c.b, 0.01); (err == nil) != c.same {
			t.Errorf("case %d: %v", i, err)
		}
	}
}
