package jobsheet

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

// told runs a script and gives what its job sheet is made from, and its report.
func told(t *testing.T, name, text string) (run emit.Run, report []byte) {
	t.Helper()
	engine.Register(emit.KindSheet, func(_ context.Context, m engine.Made) ([]byte, error) {
		run = m.Run
		return nil, nil
	})
	res, err := engine.Run(context.Background(), engine.Request{
		Script: name, Also: []emit.Kind{emit.KindSheet},
		Read: func(label string) ([]byte, error) {
			if label == name {
				return []byte(text), nil
			}
			return os.ReadFile(filepath.Join("..", "..", "..", "scripts", label))
		},
	})
	if err != nil || res.Exit > engine.Faulty {
		t.Fatal(name, err, res.Findings)
	}
	for _, f := range res.Files {
		if f.Kind == emit.KindReport {
			report = f.Bytes
		}
	}
	return run, report
}

// pieces are the facts of a script's pieces.
func pieces(t *testing.T, text string) []Piece {
	t.Helper()
	run, _ := told(t, "case.star", text)
	out, err := Of(context.Background(), run)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// reported is what the report tells of a piece, as far as a job sheet tells it too.
type reported struct {
	Name  string
	Blank struct {
		Mass    *float64 `json:"mass_g"`
		Lengths map[blank.Kind]float64
		Strokes map[blank.Kind]int
	}
	Panels []struct {
		Name string
		Area float64
	}
	Hinges []struct {
		Kind   *blank.Kind
		Length float64
		Folds  map[string]*float64
	}
	Poses []struct {
		Name    string
		Outside []float64
	}
}

// close reports whether two figures agree but for the report's rounding.
func close(a, b float64) bool { return math.Abs(a-b) < 1e-5 }

// Law: what the report tells as well is the same there, for all examples: masses, lengths
// and strokes of every kind, the sizes of the closed piece, and the folds of each kind and
// angle, their number and length.
func TestAgreesWithReport(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "..", "scripts", "*.star"))
	if err != nil || len(files) < 8 {
		t.Fatal(files, err)
	}
	folds := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		run, report := told(t, filepath.Base(file), string(text))
		var want struct{ Pieces []reported }
		if err := json.Unmarshal(report, &want); err != nil {
			t.Fatal(err)
		}
		got, err := Of(context.Background(), run)
		if err != nil || len(got) != len(want.Pieces) {
			t.Fatal(file, err, len(got))
		}
		for i, p := range got {
			folds += agrees(t, p, want.Pieces[i])
		}
	}
	if folds < 50 {
		t.Errorf("%d folds compared", folds)
	}
}

// agrees compares a piece with its report and counts the folds.
func agrees(t *testing.T, p Piece, want reported) (folds int) {
	t.Helper()
	if (p.Mass == nil) != (want.Blank.Mass == nil) || p.Mass != nil && !close(*p.Mass, *want.Blank.Mass) {
		t.Errorf("%s: mass %v, the report has %v", want.Name, p.Mass, want.Blank.Mass)
	}
	if len(p.Lines) != len(want.Blank.Lengths) {
		t.Errorf("%s: %d kinds, the report has %d", want.Name, len(p.Lines), len(want.Blank.Lengths))
	}
	rules := 0.0
	for _, l := range p.Lines {
		if !close(l.Length, want.Blank.Lengths[l.Kind]) || l.Strokes != want.Blank.Strokes[l.Kind] {
			t.Errorf("%s: %d strokes %s, %g mm; the report has %d, %g mm", want.Name, l.Strokes, l.Kind, l.Length, want.Blank.Strokes[l.Kind], want.Blank.Lengths[l.Kind])
		}
		if l.Kind != blank.DrawnLine {
			rules += want.Blank.Lengths[l.Kind]
		}
	}
	if !close(p.Rules(), rules) {
		t.Errorf("%s: %g mm of rules, the report has %g", want.Name, p.Rules(), rules)
	}
	for _, pose := range want.Poses {
		if pose.Name == "closed" && pose.Outside != nil && !slices.EqualFunc(p.Closed.Outside[:], pose.Outside, close) {
			t.Errorf("%s: closed %v, the report has %v", want.Name, p.Closed.Outside, pose.Outside)
		}
	}
	type key struct {
		kind  blank.Kind
		angle float64
	}
	count, length := map[key]int{}, map[key]float64{}
	for _, h := range want.Hinges {
		if h.Kind != nil && h.Length > 0 && h.Folds["closed"] != nil {
			k := key{*h.Kind, math.Round(*h.Folds["closed"]*10) / 10}
			count[k], length[k] = count[k]+1, length[k]+h.Length
		}
	}
	for _, f := range p.Folds {
		k := key{f.Kind, float64(f.Degrees)}
		if !f.Known || f.Kind == "plain" {
			continue
		}
		if count[k] != f.Count || !close(length[k], f.Length) {
			t.Errorf("%s: %d folds %s by %g°, %g mm; the report has %d, %g mm", want.Name, f.Count, f.Kind, k.angle, f.Length, count[k], length[k])
		}
		delete(count, k)
		folds += f.Count
	}
	if len(count) > 0 {
		t.Errorf("%s: no folds %v", want.Name, slices.Collect(maps.Keys(count)))
	}
	return folds
}

// Law, on random plates: holes and rounded corners come out as the radii that were drawn,
// each as often, circles told from corners.
func TestRadii(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 7))
	for range 20 {
		corner := 1 + float64(rng.IntN(20))/4
		script := fmt.Sprintf("p = panel(\"p\", rect(200, 100, round = %g))\n", corner)
		want := map[float64][2]int{corner: {4, 0}}
		for i := range 8 {
			r := 1 + float64(rng.IntN(12))/4
			script += fmt.Sprintf("p.cut(circle(%g).shift(%d, 50))\n", 2*r, 20+20*i)
			w := want[r]
			want[r] = [2]int{w[0] + 1, w[1] + 1}
		}
		p := pieces(t, script+"p.score(path(0, 20).line(200, 20))\npiece(\"p\", p, board = board(\"b\", caliper = 0.4))\n")[0]
		got := map[float64][2]int{}
		for i, r := range p.Radii {
			got[r.R] = [2]int{r.Arcs, r.Circles}
			if r.Kind != blank.CutLine || i > 0 && p.Radii[i-1].R >= r.R {
				t.Errorf("%v in this place", r)
			}
		}
		if !maps.Equal(got, want) || len(p.Cubics) > 0 {
			t.Errorf("radii %v, drawn were %v", got, want)
		}
	}
}

// A stroke that begins within an arc, and halves of a circle, count as one; arcs that only
// touch do not.
func TestArcsRunOn(t *testing.T) {
	whole := geom.ArcBetween(geom.Pt(5, 0), geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	a, b := whole.Split(0.3)
	circle := arcsOf(blank.Stroke{Curves: []geom.Curve{a, b}, Closed: true})
	if len(circle) != 1 || !circle[0].full() {
		t.Errorf("a circle in two parts comes out as %v", circle)
	}
	side := geom.LineFrom(b.Q, geom.Pt(9, 0))
	if got := arcsOf(blank.Stroke{Curves: []geom.Curve{b, side, a}, Closed: true}); len(got) != 1 || got[0].full() != true {
		t.Errorf("an arc over the start comes out as %v", got)
	}
	other := geom.ArcBetween(geom.Pt(5, 0), geom.Pt(15, 0), geom.Pt(10, 0), geom.Radians(-math.Pi))
	if got := arcsOf(blank.Stroke{Curves: []geom.Curve{b, other}}); len(got) != 2 {
		t.Errorf("two arcs of an S come out as %v", got)
	}
}

// Curves that are no arcs are counted, with their least radius: of the parabola y = x²/20
// that is 10 at its vertex.
func TestCubics(t *testing.T) {
	third := 10.0 / 3
	p := pieces(t, fmt.Sprintf(`p = panel("p", rect(100, 80))
p.cut(path(-10, 5).curve((%g, %g), (%g, %[2]g), (10, 5)).close().shift(50, 40))
piece("p", p, board = board("b", caliper = 0.4))
`, -third, 5-2*third, third))[0]
	if len(p.Cubics) != 1 || p.Cubics[0].Kind != blank.CutLine || p.Cubics[0].Count != 1 || math.Abs(p.Cubics[0].Least-10) > 1e-6 {
		t.Errorf("%+v", p.Cubics)
	}
}

const kinds = `card = board("b", caliper = 0.4)
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right, line = "perforated")
c = panel("c", rect(30, 70), on = b.right, fold = -45, line = "part-cut")
d = panel("d", rect(60, 20), on = a.top, fold = 180, line = "plain")
e = panel("e", rect(60, 20), on = a.bottom, fold = 180)
glue(e, a, area = rect(30, 10).shift(10, 5))
a.draw(path(10, 40).line(50, 40))
piece("p", a, board = card, copies = 3)
`

// Folds go by kind and angle, each with its sign; perforations are as long as their hinge;
// glue is the tab's board and the area asked for.
func TestKinds(t *testing.T) {
	got := pieces(t, kinds)
	want := []Fold{{"plain", 180, true, 1, 60}, {"score", 180, true, 1, 60}, {"back-part-cut", -45, true, 1, 70}, {"perforated", 90, true, 1, 80}}
	if !slices.EqualFunc(got[0].Folds, want, func(a, b Fold) bool {
		return a.Kind == b.Kind && a.Degrees == b.Degrees && a.Known == b.Known && a.Count == b.Count && close(a.Length, b.Length)
	}) {
		t.Errorf("folds %v, not %v", got[0].Folds, want)
	}
	rules, drawn := 0.0, 0.0
	for _, l := range got[0].Lines {
		rules += l.Length
		if l.Kind == blank.DrawnLine {
			drawn = l.Length
		}
	}
	if !close(drawn, 40) || !close(got[0].Rules(), rules-40) {
		t.Errorf("%g mm of rules, of %g mm of lines", got[0].Rules(), rules)
	}
	if !close(got[0].Perforated, 80) {
		t.Errorf("%g mm of perforation", got[0].Perforated)
	}
	if g := got[0].Glue; len(g) != 1 || g[0].Panel.Name != "e" || g[0].Inside || !close(g[0].Area, 300) || !close(g[0].Length, 30) {
		t.Errorf("glue %+v", g)
	}
}

// The glue of a tab is all of its board, and as long as its crease, on the side that lies on
// its target.
func TestGluedTab(t *testing.T) {
	for _, side := range []string{"inside", "outside"} {
		got := pieces(t, fmt.Sprintf(`a = panel("a", rect(60, 20))
b = panel("b", rect(40, 20), on = a.right)
c = panel("c", rect(60, 20), on = b.right)
d = panel("d", rect(40, 20), on = c.right)
tab("t", on = a.left, depth = 24, taper = 0, inset = 2, to = d.right, side = %q)
piece("p", a, board = board("b", caliper = 0.4))
`, side))
		if g := got[0].Glue; len(g) != 1 || g[0].Inside != (side == "outside") || !close(g[0].Area, 16*24) || !close(g[0].Length, 16) {
			t.Errorf("%s: glue %+v", side, g)
		}
	}
}

// Of stops when its context ends.
func TestStops(t *testing.T) {
	run, _ := told(t, "kinds.star", kinds)
	ctx, end := context.WithCancelCause(context.Background())
	cause := errors.New("enough")
	end(cause)
	if _, err := Of(ctx, run); !errors.Is(err, cause) {
		t.Error(err)
	}
	canceltest.Stops(t, func(ctx context.Context) error { _, err := Of(ctx, run); return err })
}
