package emit_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
)

// FuzzGCode gives the reader of G-code anything, and blocks of good files in any order:
// what it takes stays on the bed and above the declared depth, with a feed, and each way is
// made with a tool in the board or a beam.
func FuzzGCode(f *testing.F) {
	blocks := seedCodes(f, "*.gcode")
	limits := emittest.Limits{Bed: [2]float64{60, 50}, Depth: map[int]float64{1: 0.2, 2: 0.5}}
	f.Fuzz(func(t *testing.T, text, order []byte) {
		work, err := emittest.ParseGCode(shuffled(text, blocks, order, "G21 G90 G17 G94\nG0 Z5\n", "M2\n"), limits)
		if err != nil {
			return
		}
		checkWork(t, work, limits)
		for _, c := range work.Cuts {
			for _, z := range c.Z {
				if !(c.Feed > 0) || z < -limits.Depth[c.Tool] || c.Power > 1000 || z > 0 && c.Power == 0 {
					t.Errorf("made at %v mm/s, at %v with tool %d, power %v", c.Feed, z, c.Tool, c.Power)
				}
			}
		}
	})
}

// FuzzHPGL gives the reader of HP-GL anything, and instructions of good files in any
// order: what it takes stays on the bed and is made with a tool.
func FuzzHPGL(f *testing.F) {
	blocks := seedCodes(f, "*.hpgl")
	limits := emittest.Limits{Bed: [2]float64{60, 50}}
	f.Fuzz(func(t *testing.T, text, order []byte) {
		work, err := emittest.ParseHPGL(shuffled(text, blocks, order, "IN;\nPA;\n", "PU;\nSP0;\n"), limits)
		if err != nil {
			return
		}
		checkWork(t, work, limits)
		for _, c := range work.Cuts {
			if c.Tool < 1 {
				t.Errorf("made with tool %d", c.Tool)
			}
		}
	})
}

// seedCodes seeds with whole files and gives their lines.
func seedCodes(f *testing.F, pattern string) (lines []string) {
	names, err := filepath.Glob(filepath.Join("testdata", "codes", pattern))
	if err != nil || len(names) == 0 {
		f.Fatal(names, err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text, []byte(nil))
		lines = append(lines, strings.SplitAfter(string(text), "\n")...)
	}
	order := make([]byte, min(len(lines), 256))
	for i := range order {
		order[i] = byte(i)
	}
	f.Add([]byte(nil), order)
	return lines
}

// shuffled is text or, where an order is given, the lines that its bytes name, between a
// good beginning and end.
func shuffled(text []byte, lines []string, order []byte, head, tail string) []byte {
	if len(order) == 0 {
		return text
	}
	for _, i := range order {
		head += lines[int(i)%len(lines)]
	}
	return []byte(head + tail)
}

// checkWork holds work to the bed, but for the unit by which arcs may bulge over its rim, and
// each cut to be one way.
func checkWork(t *testing.T, w emittest.Work, l emittest.Limits) {
	t.Helper()
	box := geom.BoxOf(geom.Pt(0, 0), geom.Pt(l.Bed[0], l.Bed[1])).Grow(0.026)
	for _, c := range w.Cuts {
		if len(c.Curves) == 0 {
			t.Error("a cut without a way")
		}
		for i, curve := range c.Curves {
			if b := curve.Bounds(); !box.Contains(b.Min) || !box.Contains(b.Max) {
				t.Errorf("%v is off the bed", curve)
			}
			if i > 0 && c.Curves[i-1].Q != curve.P {
				t.Errorf("a gap before %v", curve)
			}
		}
	}
}
