package emit_test

import (
	"encoding/json"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
)

// FuzzFiles writes line work of every kind, moved, turned and stretched at the
// fuzzer's will, and reads it back: what is written is the blank.
func FuzzFiles(f *testing.F) {
	f.Add(int64(1), 0.0, 0.0, 0.0, 1.0, false)
	f.Add(int64(2), 1e4, -1e4, 1.0, 3.0, true)
	f.Add(int64(3), 5e-5, 1.00005, 1e-9, 1.0, false)
	f.Add(int64(4), 0.0, 0.0, math.Pi/2, 0.01, true)
	f.Fuzz(func(t *testing.T, seed int64, dx, dy, turn, scale float64, inside bool) {
		if !(math.Abs(dx) < 1e5 && math.Abs(dy) < 1e5 && math.Abs(turn) < 100 && scale > 0.05 && scale < 20) {
			t.Skip("outside what a design holds")
		}
		b := emittest.RandomBlank(rand.New(rand.NewSource(seed)))
		moved(b, geom.Rotation(geom.Radians(turn), geom.Point{}).Then(geom.Translation(dx, dy)), scale)
		svg, dxf := readBoth(t, b, inside)
		want := emittest.Expected(b, inside)
		for name, got := range map[string]emittest.Drawing{"SVG": svg, "DXF": dxf} {
			if err := emittest.Same(want, got, readBack); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	})
}

// moved stretches a blank's line work and moves it.
func moved(b *blank.Blank, m geom.Isometry, scale float64) {
	b.Bounds = geom.EmptyBox()
	for i := range b.Layers {
		for j := range b.Layers[i].Strokes {
			curves := b.Layers[i].Strokes[j].Curves
			for k, c := range curves {
				curves[k] = stretched(c, scale).Transform(m)
				b.Bounds = b.Bounds.Union(curves[k].Bounds())
			}
		}
	}
}

// stretched is a curve with all its lengths multiplied.
func stretched(c geom.Curve, by float64) geom.Curve {
	for _, p := range []*geom.Point{&c.P, &c.Q, &c.C, &c.D} {
		*p = p.Mul(by)
	}
	c.R *= by
	return c
}

// FuzzNames gives every name of a design to the fuzzer: whatever they are, the
// report is JSON that holds them and the cut files read back.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"lid", "</svg>", "\x1b[2J", "\u202e", "\"", "]]>", "a\nb", "\\", "  0\nEOF\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		quoted, err := json.Marshal(name)
		if err != nil || strings.ContainsRune(name, 0xfffd) {
			t.Skip("no text")
		}
		// The language reads JSON's texts as its own, but for two escapes.
		text := strings.NewReplacer(`\u2028`, "\u2028", `\u2029`, "\u2029").Replace(string(quoted))
		script := strings.ReplaceAll(`"""Names"""
card = board(NAME, caliper = 0.4)
p = panel(NAME, rect(60, 40))
q = panel("q", rect(60, 40), on = p.top)
contents(NAME, (5, 5, 5), on = p)
pose(NAME, {"q": 45})
piece("p", p, board = card)
`, "NAME", text)
		res, err := engine.Run(t.Context(), engine.Request{Script: "names.star", Read: func(string) ([]byte, error) { return []byte(script), nil }})
		if err != nil || res.Exit == engine.Crashed {
			t.Fatalf("%v\n%s", res.Findings, res.Stack)
		}
		for _, file := range res.Files {
			switch file.Kind {
			case emit.KindCutSVG:
				if _, err := emittest.ParseSVG(file.Bytes); err != nil {
					t.Error(err)
				}
			case emit.KindCutDXF:
				if _, err := emittest.ParseDXF(file.Bytes); err != nil {
					t.Error(err)
				}
			case emit.KindReport:
				checkName(t, file.Bytes, name)
			}
		}
	})
}

// checkName checks that a report holds the name of the first panel.
func checkName(t *testing.T, report []byte, name string) {
	t.Helper()
	var r struct {
		Pieces []struct{ Panels []struct{ Name string } }
	}
	if err := json.Unmarshal(report, &r); err != nil || len(r.Pieces) != 1 || r.Pieces[0].Panels[0].Name != name {
		t.Errorf("%q came back as %+v, %v", name, r, err)
	}
}
