package display_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/display"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
)

// areaRounding is how far, in mm², an area of rounded curves may be off: coordinates are
// rounded by 5e-10 mm along a rim of some metres, and the area itself by 5e-7.
const areaRounding = 1e-5

// onLine is how far, in mm, a rounded point may be off a rounded curve: on a small arc
// the rounding of its centre is magnified.
const onLine = 1e-6

// report is what these tests read of a report.
type report struct {
	Pieces []struct {
		Panels []struct {
			Name  string
			Area  float64
			Flat  [6]float64
			Poses map[string]*[12]float64
		}
		Hinges []struct{ Folds map[string]*float64 }
	}
}

// Laws, for all example designs: the areas of the rings are the report's, and so are the
// matrices and angles of every pose.
func TestDisplayTellsWhatTheReportDoes(t *testing.T) {
	for _, name := range examples(t) {
		all := files(t, showing(name))
		run, want := decode[shownRun](t, all[emit.KindDisplay]), decode[report](t, all[emit.KindReport])
		if run.Script != name || run.Title == "" || run.Exit != 0 || len(run.Pieces) != len(want.Pieces) {
			t.Fatalf("%s: %q, exit %d, %d pieces", name, run.Title, run.Exit, len(run.Pieces))
		}
		for k, p := range run.Pieces {
			checkRings(t, name, p)
			for i, panel := range p.Panels {
				w := want.Pieces[k].Panels[i]
				if panel.Name != w.Name || panel.Area != w.Area || panel.Flat != w.Flat {
					t.Errorf("%s: panel %s of area %v, reported %s of %v", name, panel.Name, panel.Area, w.Name, w.Area)
				}
				for _, pose := range p.Poses {
					if got, w := pose.Panels[i], w.Poses[pose.Name]; (got == nil) != (w == nil) || got != nil && *got != *w {
						t.Errorf("%s: %s stands at %v in pose %s, reported %v", name, panel.Name, got, pose.Name, w)
					}
				}
			}
			for i, h := range want.Pieces[k].Hinges {
				for _, pose := range p.Poses {
					if got, w := pose.Folds[i], h.Folds[pose.Name]; (got == nil) != (w == nil) || got != nil && *got != *w {
						t.Errorf("%s: hinge %d in pose %s differs", name, i, pose.Name)
					}
				}
			}
		}
	}
}

// checkRings holds the board of each panel to be that of its area, with the board on the
// left of every ring, and its rim to lie on strokes and hinges, which tell of nothing else.
func checkRings(t *testing.T, name string, p shownPiece) {
	t.Helper()
	var lines []geom.Curve
	add := func(curves []shownCurve) {
		for _, c := range curves {
			lines = append(lines, c.curve())
		}
	}
	for _, s := range p.Strokes {
		add(s.Curves)
	}
	for _, h := range p.Hinges {
		add(h.Curves)
	}
	total := 0.0
	for _, panel := range p.Panels {
		area := 0.0
		flat := isometry(panel.Flat)
		for _, ring := range panel.Rings {
			for i, c := range ring {
				was, is := ring[(i+len(ring)-1)%len(ring)].curve(), c.curve()
				if was.Q.Dist(is.P) > onLine {
					t.Errorf("%s: a ring of %s does not close", name, panel.Name)
				}
				area += is.Area()
				for _, at := range []float64{0, 0.3, 0.8} {
					q := flat.Apply(is.At(at))
					if !slices.ContainsFunc(lines, func(l geom.Curve) bool { _, d := l.Nearest(q); return d < onLine }) {
						t.Errorf("%s: the rim of %s runs through %v, where no line is", name, panel.Name, q)
					}
				}
			}
		}
		if math.Abs(area-panel.Area) > areaRounding {
			t.Errorf("%s: the rings of %s hold %v mm², not %v", name, panel.Name, area, panel.Area)
		}
		total += area
	}
	if math.Abs(total-p.Area) > areaRounding*float64(len(p.Panels)) {
		t.Errorf("%s: the rings hold %v mm², the piece %v", name, total, p.Area)
	}
}

// input lays and folds a random hinge tree.
func input(t testing.TB, seed int64, panels int) (display.Input, *modeltest.Known) {
	t.Helper()
	rng := rand.New(rand.NewSource(seed))
	known := modeltest.Tree(rng, panels, geom.Rotation(geom.Radians(rng.Float64()*7), geom.Pt(5, 8)))
	return laid(t, known.Design), known
}

// laid lays and folds a design.
func laid(t testing.TB, d *model.Design) display.Input {
	t.Helper()
	var blanks []*blank.Blank
	for _, p := range d.Pieces {
		b, _, err := blank.Lay(context.Background(), p, d.Poses)
		if err != nil {
			t.Fatal(err)
		}
		blanks = append(blanks, b)
	}
	pieces, err := simulate.Run(context.Background(), d, blanks)
	if err != nil {
		t.Fatal(err)
	}
	return display.Input{Script: "known.star", Design: d, Pieces: pieces, Text: func(label string) string { return "text of " + label }}
}

// text is the display of a run.
func text(t testing.TB, in display.Input) []byte {
	t.Helper()
	out, err := display.JSON(context.Background(), in)
	if f, _ := emit.Formats().Of(emit.KindDisplay); err != nil || f.Check(context.Background(), out) != nil {
		t.Fatalf("%v; %.100s", err, out)
	}
	return out
}

// Laws, for random trees: the rings hold the area that is known beforehand, and lie on
// the line work; the strokes are as long as the cuts and hinges are.
func TestRingsOfRandomTrees(t *testing.T) {
	for seed := range int64(30) {
		in, known := input(t, seed, 3+int(seed))
		run := decode[shownRun](t, text(t, in))
		p := run.Pieces[0]
		checkRings(t, "seed "+string(rune('0'+seed%10)), p)
		length := 0.0
		for _, s := range p.Strokes {
			length += s.Length
		}
		if math.Abs(p.Area-known.Area) > 1e-6*known.Area || math.Abs(length-known.Cut-known.Hinged) > 1e-6*length {
			t.Errorf("seed %d: %v mm² and %v mm, known %v and %v", seed, p.Area, length, known.Area, known.Cut+known.Hinged)
		}
	}
}

// Law: every span lies in a text of the sources and within its lines, and the first of a
// site is in the main script, which is the first source.
func TestSitesLieInTheSources(t *testing.T) {
	for _, name := range examples(t) {
		run := decode[shownRun](t, files(t, showing(name))[emit.KindDisplay])
		if run.Sources[0].File != name {
			t.Errorf("%s: the first source is %s", name, run.Sources[0].File)
		}
		var sites [][][5]int
		for _, p := range run.Params {
			sites = append(sites, p.Site)
		}
		for _, p := range run.Pieces {
			for _, x := range p.Panels {
				sites = append(sites, x.Site)
			}
			for _, x := range p.Windows {
				sites = append(sites, x.Site)
			}
			for _, x := range p.Hinges {
				sites = append(sites, x.Site)
			}
			for _, x := range p.Joins {
				sites = append(sites, x.Site)
			}
			for _, x := range p.Contents {
				sites = append(sites, x.Site)
			}
		}
		for _, site := range sites {
			if len(site) == 0 || site[0][0] != 0 {
				t.Errorf("%s: a site begins at %v", name, site)
			}
			for _, s := range site {
				lines := strings.Split(run.Sources[s[0]].Text, "\n")
				if s[1] < 1 || s[3] > len(lines) || s[2] < 1 || s[4] < 1 || s[4] > len([]rune(lines[s[3]-1]))+1 || s[1] > s[3] {
					t.Errorf("%s: %v lies outside %s", name, s, run.Sources[s[0]].File)
				}
			}
		}
	}
}

// Law: a product stands within the closed piece: each corner of it lies in the box round
// the corners of the panels there.
func TestProductsStandInThePiece(t *testing.T) {
	products := 0
	for _, name := range examples(t) {
		run := decode[shownRun](t, files(t, showing(name))[emit.KindDisplay])
		for _, p := range run.Pieces {
			closed := p.Poses[slices.IndexFunc(p.Poses, func(s shownPose) bool { return s.Name == model.PoseClosed })]
			low := [3]float64{math.Inf(1), math.Inf(1), math.Inf(1)}
			high := [3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)}
			for i, panel := range p.Panels {
				for _, ring := range panel.Rings {
					for _, c := range ring {
						if m := closed.Panels[i]; m != nil {
							q := transform(*m).Apply(c.curve().P.Space())
							for k, v := range [3]float64{q.X, q.Y, q.Z} {
								low[k], high[k] = min(low[k], v), max(high[k], v)
							}
						}
					}
				}
			}
			for _, c := range p.Contents {
				if c.Frame == nil {
					continue
				}
				products++
				for corner := range 8 {
					at := geom.Point3{X: c.Size[0] / 2, Y: c.Size[1] / 2}
					if corner&1 != 0 {
						at.X = -at.X
					}
					if corner&2 != 0 {
						at.Y = -at.Y
					}
					if corner&4 != 0 {
						at.Z = c.Size[2]
					}
					q := transform(*c.Frame).Apply(at)
					for k, v := range [3]float64{q.X, q.Y, q.Z} {
						if v < low[k] || v > high[k] {
							t.Errorf("%s: a corner of %s stands at %v, outside %v to %v", name, c.Name, q, low, high)
							break
						}
					}
				}
				if len(c.Free) != 5 {
					t.Errorf("%s: room round %s in %d directions", name, c.Name, len(c.Free))
				}
			}
		}
	}
	if products < 3 {
		t.Errorf("only %d products stood in pieces", products)
	}
}

// Law: both edges of a join that holds stand along one another in the closed piece: their
// middles are apart by no more than the gap, what was asked, and the board's caliper.
func TestJoinsMeetWhereTheyAreShown(t *testing.T) {
	d := modeltest.Assemble([]modeltest.Cell{
		{Name: "base", Outline: modeltest.Rect(0, 0, 60, 40)},
		{Name: "back", Outline: modeltest.Rect(0, 40, 60, 30), On: "top", By: "bottom", Fold: modeltest.Right},
		{Name: "side", Outline: modeltest.Rect(60, 0, 30, 40), On: "right", By: "left", Fold: modeltest.Right},
	}, rand.New(rand.NewSource(3)))
	p := d.Pieces[0]
	back, side := modeltest.Edge(p.Panels[1], "right"), modeltest.Edge(p.Panels[2], "top")
	p.Joins = []*model.Join{{Kind: model.MeetJoin, A: model.JoinEnd{Panel: p.Panels[1], Edge: &back}, B: model.JoinEnd{Panel: p.Panels[2], Edge: &side}, Site: modeltest.At(9)}}
	d.Joins = p.Joins
	run := decode[shownRun](t, text(t, laid(t, d)))
	j, pose := run.Pieces[0].Joins[0], run.Pieces[0].Poses[1]
	gap := j.Gaps[pose.Name]
	if gap == nil || *gap > 1e-6 || j.A.Edge == nil || *j.A.Edge != "right" || j.B.Panel != 2 || len(j.A.At) != 1 || len(j.B.At) != 1 {
		t.Fatalf("the join is shown as %+v", j)
	}
	a := transform(*pose.Panels[j.A.Panel]).Apply(j.A.At[0].curve().At(0.5).Space())
	b := transform(*pose.Panels[j.B.Panel]).Apply(j.B.At[0].curve().At(0.5).Space())
	if a.Dist(b) > 1e-6 {
		t.Errorf("its edges are %v apart at %v and %v", a.Dist(b), a, b)
	}
}

// Law: same run, same bytes, of the display and of a motion.
func TestSameBytes(t *testing.T) {
	for _, name := range examples(t)[:3] {
		if !bytes.Equal(files(t, showing(name))[emit.KindDisplay], files(t, showing(name))[emit.KindDisplay]) {
			t.Errorf("%s is shown in other bytes the second time", name)
		}
	}
	in, _ := input(t, 5, 40)
	way := display.Way{Pose: model.PoseClosed, Shares: []float64{0.9, 0, 0.5, 1, 0.25}}
	first, ok, err := display.Motion(context.Background(), in.Design, way)
	again, _, _ := display.Motion(context.Background(), in.Design, way)
	if !ok || err != nil || !bytes.Equal(first, again) || !bytes.Equal(text(t, in), text(t, in)) {
		t.Errorf("a tree is shown in other bytes the second time: %v, %v", ok, err)
	}
}

// A run that is given up stops being shown, and folded.
func TestShowingStops(t *testing.T) {
	in, _ := input(t, 7, 60)
	if looks := canceltest.Stops(t, func(ctx context.Context) error { _, err := display.JSON(ctx, in); return err }); looks < 60 {
		t.Errorf("%d looks for 60 panels", looks)
	}
	way := display.Way{Pose: model.PoseClosed, Shares: []float64{0, 0.25, 0.5, 0.75, 1}}
	canceltest.Stops(t, func(ctx context.Context) error { _, _, err := display.Motion(ctx, in.Design, way); return err })
}

// hostile holds what could end a string, a script or a line, turn writing round or break
// a decoder.
const hostile = "a\"b\\c</script><!--\x00\x1b[31m\u2028\u202e\u2066\U000e0041'\n\r\t\u00e9\xff"

// Law: whatever texts hold, the display is JSON that reads back as them, in which nothing
// stands that a terminal or an editor would obey.
func TestHostileTexts(t *testing.T) {
	in, _ := input(t, 2, 4)
	d := in.Design
	d.Title, in.Script = hostile, hostile
	d.Params = []model.Param{{Name: hostile, Value: hostile, Default: hostile, Choices: []any{hostile}, Doc: hostile}}
	p := d.Pieces[0]
	p.Name, p.Board.Name, p.Panels[1].Name = hostile, hostile, hostile
	p.Hinges[0].Name = hostile
	finding := &diag.Finding{
		Rule: hostile, Message: hostile, Hint: hostile, Pose: hostile, Piece: hostile, Panel: hostile, Site: source.Site{{File: hostile, Line: 1}},
		Related: []diag.Related{{Message: hostile}}, At: &geom.Point{X: math.NaN()},
	}
	in.Findings = []*diag.Finding{finding}
	in.Waived = []diag.Waived{{Finding: finding, Reason: hostile}}
	in.Cautions, in.Prints = []string{hostile}, []string{hostile}
	in.Text = func(string) string { return hostile }
	out := text(t, in)
	if !json.Valid(out) {
		t.Fatalf("no JSON: %s", out)
	}
	for _, r := range strings.TrimSuffix(string(out), "\n") {
		if r < ' ' || diag.Printable(string(r)) != string(r) {
			t.Errorf("%U stands in it as it is", r)
		}
	}
	want := strings.ToValidUTF8(hostile, "\ufffd")
	run := decode[shownRun](t, out)
	f := run.Findings[0]
	for what, got := range map[string]any{
		"title": run.Title, "script": run.Script, "param": run.Params[0].Value, "doc": run.Params[0].Doc, "piece": run.Pieces[0].Name,
		"panel": run.Pieces[0].Panels[1].Name, "hinge": run.Pieces[0].Hinges[0].Name, "message": f.Message, "hint": f.Hint,
		"related": f.Related[0].Message, "reason": run.Waived[0].Reason, "print": run.Prints[0], "source": run.Sources[0].Text,
	} {
		if got != want {
			t.Errorf("%s reads back as %q", what, got)
		}
	}
	if f.At != nil || f.Piece == nil || *f.Piece != 0 || f.Panel == nil || *f.Panel != 1 {
		t.Errorf("the finding shows at %v on piece %v, panel %v", f.At, f.Piece, f.Panel)
	}
}

// Findings are numbered as on the sheet, and show where they name something or have a
// spot.
func TestFindingsAreNumbered(t *testing.T) {
	in, _ := input(t, 2, 4)
	second := in.Design.Pieces[0].Panels[1].Name
	at := geom.Pt(3, 4)
	in.Findings = []*diag.Finding{
		{Severity: diag.Error, Message: "of a panel", Panel: second},
		{Severity: diag.Note, Message: "of a piece", Piece: "piece"},
		{Severity: diag.Warning, Message: "of nothing"},
		{Severity: diag.Warning, Message: "of a spot", At: &at},
		{Severity: diag.Error, Message: "of another piece", Piece: "no such", Panel: second},
	}
	n := func(i int) *int { return &i }
	for i, want := range []struct {
		number       int
		piece, panel *int
	}{{1, n(0), n(1)}, {0, n(0), nil}, {2, nil, nil}, {3, n(0), nil}, {4, nil, nil}} {
		f := decode[shownRun](t, text(t, in)).Findings[i]
		same := func(a, b *int) bool { return (a == nil) == (b == nil) && (a == nil || *a == *b) }
		if f.Number != want.number || !same(f.Piece, want.piece) || !same(f.Panel, want.panel) {
			t.Errorf("%s has the number %d, piece %v, panel %v", f.Message, f.Number, f.Piece, f.Panel)
		}
	}
}

// A design that takes more bytes than it may is shown by its findings alone, and that is
// said.
func TestTooLargeToShow(t *testing.T) {
	in, _ := input(t, 4, 30)
	whole := int64(len(text(t, in)))
	in.Findings = []*diag.Finding{{Severity: diag.Error, Message: "big", At: &geom.Point{}}}
	in.Cautions = []string{"hot"}
	in.Most = whole / 2
	run := decode[shownRun](t, text(t, in))
	if len(run.Pieces) != 0 || len(run.Findings) != 1 || run.Findings[0].Piece != nil || len(run.Cautions) != 2 || len(in.Cautions) != 1 {
		t.Errorf("%d pieces, %d findings, cautions %v", len(run.Pieces), len(run.Findings), run.Cautions)
	}
	in.Most = 2 * whole
	if run := decode[shownRun](t, text(t, in)); len(run.Pieces) != 1 {
		t.Error("a design that is small enough is not shown")
	}
}

// Parameters are told by what can be typed for them.
func TestParamKinds(t *testing.T) {
	in, _ := input(t, 1, 2)
	in.Design.Params = []model.Param{
		{Name: "whole", Value: int64(3), Default: int64(3), Min: int64(1)},
		{Name: "number", Value: int64(3), Default: int64(3), Max: 3.5},
		{Name: "number", Value: 2.5, Default: int64(3)},
		{Name: "choice", Value: int64(3), Default: int64(3), Choices: []any{int64(3), int64(4)}},
		{Name: "text", Value: "", Default: "x"},
		{Name: "yes-no", Value: false, Default: true},
	}
	for _, p := range decode[shownRun](t, text(t, in)).Params {
		if p.Kind != p.Name {
			t.Errorf("%s is told as %s", p.Name, p.Kind)
		}
	}
}
