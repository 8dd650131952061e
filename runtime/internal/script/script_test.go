package script

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// files is a folder in memory, beside the standard library.
type files map[string]string

func (f files) store() *source.Store {
	return source.NewStore(func(label string) ([]byte, error) {
		if text, ok := f[label]; ok {
			return []byte(text), nil
		}
		if text, ok := stdlib.Text(label); ok {
			return text, nil
		}
		return nil, source.ErrAbsent
	})
}

func runText(text string) (*model.Design, []*diag.Finding) {
	return Run(context.Background(), files{"main.star": text}.store(), "main.star", Options{Closed: givenFolds})
}

// givenFolds places the panels of a piece whose hinges are all given, for cuts
// through several panels.
func givenFolds(_ context.Context, p *model.Piece) ([]model.Placement, error) {
	out := make([]model.Placement, len(p.Panels))
	for i, q := range p.Panels {
		out[i] = model.Placement{RigidTransform: geom.Identity3(), OK: true}
		if h := q.Hang; h != nil {
			turn := geom.RotationAbout(h.Curve.P.Space(), h.Curve.Q.Sub(h.Curve.P).Space(), h.Fold.Degrees.Angle())
			out[i].RigidTransform = h.ToParent.Space().Then(turn).Then(out[slices.Index(p.Panels, h.Parent)].RigidTransform)
		}
	}
	return out, nil
}

const sleeveScript = `"""Sleeve for a bar of soap, open at both ends."""

length = param("length", 90, min = 20, max = 300, doc = "bar length")
width  = param("width", 60)
depth  = param("depth", 28)
card   = board("uncoated card", caliper = thou(14), gsm = 250, grain = 0)

top   = panel("top",   rect(width, length))
left  = panel("left",  rect(depth, length), on = top.left)
right = panel("right", rect(depth, length), on = top.right)
base  = panel("base",  rect(width, length), on = right.right)
seam  = tab("seam", on = base.right, depth = 12, to = left.left)

top.cut(circle(18).shift(width / 2, length / 2))
piece("sleeve", top, board = card)
`

// The script that opens the vocabulary, with what the contract says of it.
func TestSleeve(t *testing.T) {
	d, fs := runText(sleeveScript)
	for _, f := range fs {
		t.Error(f, f.Hint)
	}
	if d == nil {
		t.FailNow()
	}
	if d.Title != "Sleeve for a bar of soap, open at both ends." {
		t.Errorf("title %q", d.Title)
	}
	if at := d.Panels[0].Site.First(); at.Line != 8 || at.Column != 9 || at.EndColumn != 44 {
		t.Errorf("top was made at %+v", at)
	}
	if n := len(d.Pieces[0].Panels); n != 5 {
		t.Errorf("%d panels in the piece", n)
	}
}

func messages(fs []*diag.Finding) string {
	var out []string
	for _, f := range fs {
		out = append(out, f.Rule+": "+f.Message)
	}
	return strings.Join(out, "; ")
}

// Values from outside reach the script as the parameter's own sort of value:
// whole numbers as int, others as float, units turned into millimetres.
func TestParamsFromOutside(t *testing.T) {
	text := `size = param("size", 90)
note = param("note", "plain")
open = param("open", False)
print(type(size), size, type(note), note, open)
` + onePiece
	for given, want := range map[string]string{
		"":                            "int 90 string plain False",
		"size=60":                     "int 60 string plain False",
		"size=60.5mm":                 "float 60.5 string plain False",
		"size=0.5in":                  "float 12.7 string plain False", // the inch is exactly 25.4 mm (1959 agreement)
		"size=2cm,note=60,open=true":  "int 20 string 60 True",
		"note=a b,open=False,size=-4": "int -4 string a b False",
	} {
		params := map[string]string{}
		for _, set := range strings.FieldsFunc(given, func(r rune) bool { return r == ',' }) {
			name, value, _ := strings.Cut(set, "=")
			params[name] = value
		}
		var lines []string
		opts := Options{Params: params, Print: func(l string) { lines = append(lines, l) }}
		_, fs := Run(context.Background(), files{"main.star": text}.store(), "main.star", opts)
		if len(fs) > 0 || !slices.Equal(lines, []string{want}) {
			t.Errorf("%s: printed %q, found %s", given, lines, messages(fs))
		}
	}
}

// The design lists the parameters with the values in force.
func TestParamsInTheDesign(t *testing.T) {
	d, fs := Run(context.Background(), files{"main.star": sleeveScript}.store(), "main.star", Options{Params: map[string]string{"length": "120"}})
	if d == nil {
		t.Fatal(messages(fs))
	}
	if p := d.Params[0]; p.Name != "length" || p.Value != int64(120) || p.Default != int64(90) || p.Doc != "bar length" {
		t.Errorf("%+v", p)
	}
}

func TestStepLimit(t *testing.T) {
	text := "for i in range(1000000):\n    x = i\n" + onePiece
	d, fs := Run(context.Background(), files{"main.star": text}.store(), "main.star", Options{Limits: steps(10_000)})
	if d != nil || messages(fs) != "script: the script takes more than 10,000 steps" || fs[0].Site.First().Line > 2 {
		t.Errorf("%s at %v", messages(fs), fs[0].Site)
	}
	if d, fs := runText(text); d == nil {
		t.Error(messages(fs))
	}
}

func TestCancel(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	opts := Options{Print: func(string) { cancel() }}
	text := "for i in range(100000000):\n    if i == 5:\n        print(i)\n" + onePiece
	d, fs := Run(ctx, files{"main.star": text}.store(), "main.star", opts)
	if d != nil || messages(fs) != "script: the run was stopped" {
		t.Error(messages(fs))
	}
}

// A rule that does not hold is noted in the design, and the run goes on.
func TestRequireGoesOn(t *testing.T) {
	d, fs := runText("require(False, \"one\")\nrequire(True, \"two\")\nrequire(False, \"three\")\n" + onePiece)
	if d == nil || len(fs) > 0 || len(d.Failed) != 2 {
		t.Fatal(d, messages(fs))
	}
	if one, three := d.Failed[0], d.Failed[1]; one.Message != "one" || three.Message != "three" || three.Site.First().Line != 3 {
		t.Errorf("%+v %+v", one, three)
	}
}

func TestTitle(t *testing.T) {
	for text, want := range map[string]string{
		"\"\"\"A card.\n\nMore.\"\"\"\n": "A card.",
		"\"\"\"\n  A card.\n\"\"\"\n":    "A card.",
		"# A comment\n'A card.'\n":       "A card.",
		"x = 'A card.'\n":                "",
		"x = 5\n":                        "",
	} {
		if d, fs := runText(text + onePiece); d == nil || d.Title != want {
			t.Errorf("%q: %v %s", text, d, messages(fs))
		}
	}
}

// The same script gives the same design, sites and all, run after run.
func TestRunsAreAlike(t *testing.T) {
	one, _ := runText(sleeveScript)
	for range 5 {
		two, _ := runText(sleeveScript)
		for i, p := range one.Panels {
			q := two.Panels[i]
			if p.Name != q.Name || p.Flat != q.Flat || p.Outline.String() != q.Outline.String() || !slices.Equal(p.Site, q.Site) {
				t.Fatalf("%+v and %+v", p, q)
			}
		}
	}
}

// A word may be used as a name: the script's own value then stands for it.
func TestWordsMayBeNames(t *testing.T) {
	d, fs := runText("path = path(0, 0).line(60, 0).line(60, 90).close()\nboard = board(\"card\", caliper = 0.4)\npiece(\"card\", panel(\"card\", path), board = board)\n")
	if d == nil {
		t.Error(messages(fs))
	}
}

// The folder that a run reads is the store's: an empty one says what is
// missing, and nothing else is touched.
func TestEmptyStore(t *testing.T) {
	_, fs := Run(context.Background(), files{}.store(), "none.star", Options{})
	if messages(fs) != `script: there is no file "none.star"` {
		t.Error(messages(fs))
	}
}

// A script with a cut through several panels needs what folds the piece: it is at
// fault without it, at the cut, and ends with the cause of the context's end.
func TestThroughNeedsClosed(t *testing.T) {
	text := `front = panel("front", rect(60, 90))
lid = panel("lid", rect(60, 50), on = front.top, fold = 180)
front.cut(circle(9).shift(30, 60), through = [lid])
piece("leaf", front, board = board("card", caliper = 0.4))
`
	d, fs := Run(t.Context(), files{"main.star": text}.store(), "main.star", Options{})
	if d != nil || len(fs) != 1 || fs[0].Site.First().Line != 3 || !strings.Contains(fs[0].Message, "nothing folds the piece") {
		t.Errorf("without: %v, %v", d, fs)
	}
	ended := func(context.Context, *model.Piece) ([]model.Placement, error) { return nil, context.Canceled }
	if d, fs := Run(t.Context(), files{"main.star": text}.store(), "main.star", Options{Closed: ended}); d != nil || len(fs) != 1 {
		t.Errorf("ended: %v, %v", d, fs)
	}
	d, fs = runText(text)
	if d == nil {
		t.Fatal(fs)
	}
	lid := d.Panels[1]
	if len(lid.Windows) != 1 || lid.Windows[0].Outline.Bounds().Mid().Dist(geom.Pt(30, 30)) > 1e-9 || lid.Windows[0].Site.First().Line != 3 {
		t.Errorf("lid has %+v", lid.Windows)
	}
}
