package engine

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/nest"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/source"
)

// laidOut is what layout.json tells.
type laidOut struct {
	Sheet   struct{ Width, Height, Margin, Gap float64 }
	Sets    int
	Yield   float64
	Boxes   struct{ Sets int }
	Lengths map[string]float64
	Shared  float64
	Program *struct {
		Name           string
		Strokes        int
		Length, Travel float64
		Unordered      float64 `json:"travel_unordered"`
	}
	Pieces []struct {
		Name   string
		Copies int
		Places [][6]float64
	}
}

// layoutOf lays a script out and gives what came of it, by the names of its files.
func layoutOf(t *testing.T, text string, q LayoutRequest) (map[string][]byte, laidOut) {
	t.Helper()
	q.Looks = 20000
	res := mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": text}), Layout: &q})
	files := map[string][]byte{}
	for _, f := range res.Files {
		files[f.Name] = f.Bytes
	}
	if res.Exit != Clean || len(files) != 4 {
		t.Fatalf("exit %d with %d files: %v\n%s", res.Exit, len(files), res.Findings, text)
	}
	var l laidOut
	if err := json.Unmarshal(files[emit.LayoutJSONName], &l); err != nil {
		t.Fatal(err)
	}
	return files, l
}

// blanksOf are the blanks of a script.
func blanksOf(t *testing.T, text string) []*blank.Blank {
	t.Helper()
	design, found := script.Run(context.Background(), source.NewStore(from(map[string]string{"box.star": text})), "box.star", withClosed)
	if design == nil {
		t.Fatal(found)
	}
	var out []*blank.Blank
	for _, p := range design.Pieces {
		b, _, err := blank.Lay(context.Background(), p, design.Poses)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, b)
	}
	return out
}

// randomBox is a script of a panel with flaps about it, one with an arc, and a window, of
// random sizes.
func randomBox(rng *rand.Rand, grain string) string {
	size := func(lo, hi float64) float64 { return math.Round(10*(lo+(hi-lo)*rng.Float64())) / 10 }
	w, h := size(30, 120), size(30, 120)
	var s strings.Builder
	fmt.Fprintf(&s, "card = board(\"card\", caliper = 0.4%s)\n", grain)
	fmt.Fprintf(&s, "base = panel(\"base\", rect(%g, %g, round = %g))\n", w, h, size(0, 1))
	for _, side := range []string{"left", "right", "top", "bottom"} {
		if rng.IntN(3) > 0 {
			fmt.Fprintf(&s, "flap(%q, base.%s, depth = %g, taper = %g, round = %g, fold = 45)\n", side+" flap", side, size(8, 25), size(0, 20), size(0.5, 3))
		}
	}
	if rng.IntN(2) == 0 {
		fmt.Fprintf(&s, "base.cut(oval(%g, %g).shift(%g, %g))\n", w/3, h/3, w/2, h/2)
	}
	fmt.Fprintf(&s, "base.draw(path(5, 5).line(%g, 8))\n", w-5)
	s.WriteString("piece(\"box\", base, board = card)\n")
	return s.String()
}

// Law: random designs laid on random sheets lie inside the margin, do not overlap and
// keep the gap, as another algorithm finds on the true curves; there are at least as many as
// bounding boxes; the grain runs along the sheet's; SVG and DXF hold the same lines, those
// of all copies; without a gap the cut is as long as all copies' less what is shared; and
// the second time the bytes are the same.
func TestLayoutLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	shared := 0
	for i := range 12 {
		grain := [...]string{"", ", grain = 0", ", grain = 90", ", grain = 30"}[i%4]
		text := randomBox(rng, grain)
		q := LayoutRequest{
			Width: 250 + 250*rng.Float64(), Height: 250 + 250*rng.Float64(), Margin: float64(rng.IntN(3)) * 5,
			Gap: [...]float64{0, 3, 0.5}[i%3], Grain: [...]Grain{GrainX, GrainY, AnyGrain, LongGrain}[i/4],
		}
		files, l := layoutOf(t, text, q)
		b := blanksOf(t, text)[0]
		if err := laidWell(b, l, q); err != nil {
			t.Errorf("case %d: %v\n%s", i, err, text)
		}
		if l.Sets != len(l.Pieces[0].Places) || l.Sets < l.Boxes.Sets {
			t.Errorf("case %d: %d sets, %d places, %d as boxes", i, l.Sets, len(l.Pieces[0].Places), l.Boxes.Sets)
		}
		if want := float64(l.Sets) * b.Area / (q.Width * q.Height); math.Abs(l.Yield-want) > 1e-5 {
			t.Errorf("case %d: yield %g, want %g", i, l.Yield, want)
		}
		for _, layer := range b.Layers {
			want := layer.Length() * float64(l.Sets)
			if layer.Kind == blank.CutLine {
				want -= l.Shared
			}
			if math.Abs(l.Lengths[string(layer.Kind)]-want) > 1e-3*float64(l.Sets) {
				t.Errorf("case %d: %g mm of %s, want %g", i, l.Lengths[string(layer.Kind)], layer.Kind, want)
			}
		}
		if l.Shared > 0 {
			shared++
		}
		svg, err := emittest.ParseSVG(files[emit.LayoutSVGName])
		if err != nil {
			t.Fatal(err)
		}
		dxf, err := emittest.ParseDXF(files[emit.LayoutDXFName])
		if err != nil {
			t.Fatal(err)
		}
		if err := sameLines(svg, dxf); err != nil {
			t.Errorf("case %d: SVG and DXF: %v", i, err)
		}
		if i < 3 {
			again, _ := layoutOf(t, text, q)
			for name, bytesOf := range files {
				if !bytes.Equal(bytesOf, again[name]) {
					t.Errorf("case %d: other bytes of %s the second time", i, name)
				}
			}
		}
	}
	if shared == 0 {
		t.Error("no layout had a common line")
	}
}

// sameLines compares two drawings of one sheet.
func sameLines(svg, dxf emittest.Drawing) error {
	if len(svg.Layers) != len(dxf.Layers) {
		return fmt.Errorf("%d line kinds and %d", len(svg.Layers), len(dxf.Layers))
	}
	for i, a := range svg.Layers {
		if b := dxf.Layers[i]; a.Kind != b.Kind || math.Abs(a.Length()-b.Length()) > 1e-3*max(1, a.Length()/100) {
			return fmt.Errorf("%g mm of %s, %g mm of %s", a.Length(), a.Kind, b.Length(), b.Kind)
		}
	}
	return nil
}

// laidWell looks at places as matrices, on the true curves.
func laidWell(b *blank.Blank, l laidOut, q LayoutRequest) error {
	var copies [][][]geom.Curve
	for _, m := range l.Pieces[0].Places {
		place := geom.Isometry{A: m[0], B: m[1], C: m[2], D: m[3], E: m[4], F: m[5]}
		var rings [][]geom.Curve
		box := geom.EmptyBox()
		for _, r := range outline(b) {
			ring := ringPlaced(r, place)
			rings = append(rings, ring)
			for _, c := range ring {
				box = box.Union(c.Bounds())
			}
		}
		const tol = 0.003
		if box.Min.X < q.Margin-tol || box.Min.Y < q.Margin-tol || box.Max.X > q.Width-q.Margin+tol || box.Max.Y > q.Height-q.Margin+tol {
			return fmt.Errorf("a copy leaves the sheet: %v", box)
		}
		if g := b.Piece.Board.GrainDegrees; g != nil && q.Grain != AnyGrain {
			sin, cos := g.Angle().SinCos()
			along := place.ApplyDir(geom.Pt(cos, sin))
			off := along.Y
			if q.Grain == GrainY || q.Grain == LongGrain && q.Height > q.Width {
				off = along.X
			}
			if math.Abs(off) > 1e-9 {
				return fmt.Errorf("the grain runs along %v", along)
			}
		}
		for _, other := range copies {
			if region.Overlaps(rings, other) {
				return fmt.Errorf("two copies overlap")
			}
		}
		copies = append(copies, rings)
	}
	var laid nest.Layout
	laid.Width, laid.Height = q.Width, q.Height
	for i := range copies {
		laid.Placements = append(laid.Placements, nest.Placement{Part: i})
	}
	return nest.Check(copies, laid, q.Gap)
}

// What cannot be laid is told, and nothing is written.
func TestLayoutFaults(t *testing.T) {
	const two = `
card = board("card", caliper = 0.4)
grey = board("grey", caliper = 1)
piece("lid", panel("lid", rect(60, 40)), board = card)
piece("base", panel("base", rect(50, 30)), board = grey)
`
	for _, c := range []struct {
		text string
		q    LayoutRequest
		want string
	}{
		{tray, LayoutRequest{Width: 50, Height: 50}, `piece "tray", 60 × 60 mm flat, does not fit on a sheet of 50 × 50 mm with a margin of 0 mm`},
		{tray, LayoutRequest{Width: 0, Height: 50}, "a sheet of 0 × 50 mm cannot be laid: sides lie between 0.001 and 10000 mm"},
		{tray, LayoutRequest{Width: 50, Height: 50, Margin: 25}, "the margin of 25 mm leaves no room on a sheet of 50 × 50 mm"},
		{tray, LayoutRequest{Width: 500, Height: 500, Gap: math.NaN()}, "the gap is NaN mm, which is no distance"},
		{tray, LayoutRequest{Width: 500, Height: 500, Grain: "z"}, `the grain of a sheet is "x", "y" or "any", not "z"`},
		{tray, LayoutRequest{Width: 500, Height: 500, Most: -1}, "-1 sets cannot be laid"},
		{tray, LayoutRequest{Machine: "cutter"}, `there is no machine "cutter"`},
		{tray, LayoutRequest{Width: 500, Height: 500, Pieces: []string{"lid"}}, `there is no piece "lid"`},
		{tray, LayoutRequest{Width: 9000, Height: 9000}, "more than 5000 pieces would lie on a sheet of 9000 × 9000 mm"},
		{strings.ReplaceAll(tray, `piece("tray"`, `piece("Layout"`), LayoutRequest{Width: 500, Height: 500}, `piece "Layout": its files would have the names of the layout's`},
		{two, LayoutRequest{Width: 500, Height: 500}, `pieces "lid" and "base" are of different boards, which are different sheets`},
	} {
		res := mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": c.text}), Layout: &c.q})
		if res.Exit != Broken || len(res.Files) != 0 || len(res.Findings) != 1 || res.Findings[0].Message != c.want {
			t.Errorf("exit %d, %d files: %v; want %s", res.Exit, len(res.Files), res.Findings, c.want)
		}
	}
	res := mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": tray + clash}), Layout: &LayoutRequest{Width: 500, Height: 500}})
	if res.Exit != Faulty || len(res.Files) != 0 {
		t.Errorf("a design with errors: exit %d and %d files", res.Exit, len(res.Files))
	}
}

// Several pieces are laid in whole sets, as often each as it has copies; one that is
// worked from the inside is mirrored; the bed of a machine is a sheet with a margin.
func TestLayoutOfSets(t *testing.T) {
	const text = `
card = board("card", caliper = 0.4, grain = 0)
piece("lid", panel("lid", rect(60, 40)), board = card, view = "inside")
piece("side", panel("side", polygon([(0, 0), (50, 0), (40, 30), (10, 30)])), board = card, copies = 4, view = "inside")
machine("cutter", (300, 200), margin = 12)
`
	_, l := layoutOf(t, text, LayoutRequest{Machine: "cutter", Gap: 2})
	if l.Sheet.Margin != 12 || l.Sheet.Width != 300 || l.Sets < 3 || l.Sets < l.Boxes.Sets {
		t.Errorf("%+v", l)
	}
	var copies [][][]geom.Curve
	blanks := blanksOf(t, text)
	for i, p := range l.Pieces {
		if len(p.Places) != l.Sets*p.Copies {
			t.Errorf("%d of %s in %d sets", len(p.Places), p.Name, l.Sets)
		}
		for _, m := range p.Places {
			place := geom.Isometry{A: m[0], B: m[1], C: m[2], D: m[3], E: m[4], F: m[5]}
			if !place.Mirrors() || math.Abs(m[1]) > 1e-9 {
				t.Errorf("%s lies as %v", p.Name, m)
			}
			copies = append(copies, [][]geom.Curve{ringPlaced(outline(blanks[i])[0], place)})
		}
	}
	laid := nest.Layout{Width: 300, Height: 200}
	for i := range copies {
		laid.Placements = append(laid.Placements, nest.Placement{Part: i})
	}
	if err := nest.Check(copies, laid, 2); err != nil {
		t.Error(err)
	}
	_, one := layoutOf(t, text, LayoutRequest{Machine: "cutter", Pieces: []string{"side"}, Most: 2})
	if one.Sets != 2 || len(one.Pieces) != 1 || len(one.Pieces[0].Places) != 8 {
		t.Errorf("%+v", one)
	}
}

// Law: a layout ends with its context, wherever it is then.
func TestLayoutEndsWithContext(t *testing.T) {
	text := tray
	canceltest.Stops(t, func(ctx context.Context) error {
		_, err := Run(ctx, Request{Script: "box.star", Read: from(map[string]string{"box.star": text}), Layout: &LayoutRequest{Width: 130, Height: 70, Looks: 200}})
		return err
	})
}

// BenchmarkLayout lays an example out on a sheet and reports the longest time between
// two looks at the context.
func BenchmarkLayout(b *testing.B) {
	for _, name := range []string{"candle-box.star", "paper-lantern.star", "mug-carton.star"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				canceltest.ReportGap(b, func(ctx context.Context) error {
					_, err := Run(ctx, Request{Script: name, Read: scriptsFolder, Layout: &LayoutRequest{Width: 700, Height: 1000, Margin: 10, Gap: 3}})
					return err
				})
			}
		})
	}
}

// What the picture says of a layout is said whole, also of a piece with lines of many kinds and
// shared cuts; what fits as boxes is told as a number for one piece and in sets for several.
func TestWordsOfLayoutPictures(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"honey-tray.star", "laid as bounding boxes: 12, yield"},
		{"mug-carton.star", "laid as bounding boxes: 4, yield"},
	} {
		res := mustRun(Request{Script: c.name, Read: scriptsFolder, Layout: &LayoutRequest{Width: 700, Height: 1000, Margin: 10, Looks: 1}})
		var picture string
		for _, f := range res.Files {
			if f.Kind == emit.KindLayoutPicture {
				picture = string(f.Bytes)
			}
		}
		if !strings.Contains(picture, c.want) || !strings.Contains(picture, "common to two pieces and made once") || strings.Contains(picture, "…") {
			t.Errorf("%s: exit %d, %v, a picture of %d bytes without %q, or with words cut off", c.name, res.Exit, res.Findings, len(picture), c.want)
		}
	}
	sets := tray + `piece("tag", panel("tag", rect(20, 20)), board = card, copies = 2)`
	res := mustRun(Request{Script: "box.star", Read: from(map[string]string{"box.star": sets}), Layout: &LayoutRequest{Width: 200, Height: 200, Gap: 3, Margin: 10, Looks: 1}})
	if text := string(res.Files[2].Bytes); !strings.Contains(text, " sets; laid as bounding boxes: ") {
		t.Errorf("%v: %.2000s", res.Findings, text)
	}
}
