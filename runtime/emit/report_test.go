package emit_test

import (
	"encoding/json"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/source"
)

// tray is a run over two panels joined by a score, with one of everything a
// report tells: a pose found, a fold not found, joins, contents, findings.
func tray(t *testing.T) emit.Run {
	t.Helper()
	base, err := geom.Rect(60, 40, 0)
	if err != nil {
		t.Fatal(err)
	}
	d := modeltest.Assemble([]modeltest.Cell{
		{Name: "base", Outline: base},
		{Name: `wall "b"`, Outline: base.Transform(geom.Translation(0, 40)), On: "top", By: "bottom", Fold: modeltest.Right},
	}, nil)
	p := d.Pieces[0]
	grain := geom.Degrees(90)
	p.Name, p.Board.GrainDegrees = "tray", &grain
	root, wall, hinge := p.Panels[0], p.Panels[1], p.Hinges[0]
	hole := &model.Window{Panel: root, Outline: base}
	edge := modeltest.Edge(root, "top")
	p.Joins = []*model.Join{
		{Kind: model.GlueJoin, A: model.JoinEnd{Panel: wall}, B: model.JoinEnd{Panel: root}},
		{Kind: model.TabJoin, A: model.JoinEnd{Panel: wall}, B: model.JoinEnd{Panel: root, Edge: &edge}},
		{Kind: model.TuckJoin, A: model.JoinEnd{Panel: wall}, B: model.JoinEnd{Panel: root, Window: hole}},
	}
	d.Params = []model.Param{{Name: "width", Value: 0.1 + 0.2}, {Name: "count", Value: int64(3)}, {Name: "kind", Value: "<tea>"}, {Name: "lid", Value: true}}
	d.Contents = []*model.Contents{{Name: "soap", Panel: root}, {Name: "towel", Panel: root}}
	half := &model.Pose{Name: "half", At: 0.5}
	d.Poses = append(d.Poses, half)
	side, end := 1.0, 0.5 // and no end above

	upright := geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Radians(-math.Pi/2))
	at := geom.Pt(10, 1/3.0)
	finding := &diag.Finding{Rule: "join-gap", Severity: diag.Error, Message: "gap", Hint: "mend", Site: source.Site{{File: "tray.star", Line: 8, Column: 9}},
		Piece: "tray", Panel: `wall "b"`, Pose: "closed", At: &at}
	return emit.Run{
		Script: "tray.star", Design: d,
		Blanks: []*blank.Blank{{
			Piece: p, Bounds: geom.BoxOf(geom.Pt(0, 0), geom.Pt(60, 80)), Area: 4800 - math.Pi,
			Layers: []blank.Layer{
				{Kind: blank.ScoreLine, Strokes: []blank.Stroke{{Curves: []geom.Curve{geom.LineFrom(geom.Pt(60, 40), geom.Pt(0, 40))}}}},
				{Kind: blank.CutLine, Strokes: []blank.Stroke{{Closed: true, Curves: base.Curves()}}},
			},
			Regions: []blank.Region{{Panel: root, Area: 2400}, {Panel: wall, Area: 2400 - math.Pi}},
			Hinges:  []blank.HingeLine{{Hinge: hinge, Kind: blank.ScoreLine, Length: 60}},
		}},
		States: []emit.State{
			// Given out of order; the report follows the design's poses.
			{Piece: p, Pose: half, Panels: map[*model.Panel]geom.RigidTransform{root: geom.Identity3()}},
			{Piece: p, Pose: d.Poses[1],
				Sizes:  &emit.Sizes{Outside: [3]float64{60.5, 40.25, 40.25}, Inside: [3]*float64{&side, nil, nil}},
				Panels: map[*model.Panel]geom.RigidTransform{root: geom.Identity3(), wall: upright},
				Folds:  map[*model.Hinge]geom.Degrees{hinge: 90.0000000001},
				Gaps:   map[*model.Join]float64{p.Joins[0]: 0.25}},
		},
		Room:     map[*model.Contents]emit.Room{d.Contents[0]: {XMinus: &side, XPlus: &side, YMinus: &end, YPlus: &end}},
		Findings: []*diag.Finding{finding},
		Waived:   []diag.Waived{{Finding: finding, Reason: "shown to the binder"}},
		Cautions: []string{"Suitability for food contact not assessed."},
	}
}

func TestGoldenReport(t *testing.T) {
	golden.In(t, "testdata", ".json").Check("report.json", reportOf(tray(t)))
}

// Lists are arrays and never null, whatever there is to put in them.
func TestReportOfLittle(t *testing.T) {
	const want = `{
 "format": "creasewright-report",
 "version": 1,
 "script": "empty.star",
 "params": {},
 "pieces": [],
 "findings": [],
 "waived": [],
 "cautions": []
}
`
	if got := string(reportOf(emit.Run{Script: "empty.star", Design: &model.Design{}})); got != want {
		t.Errorf("got %s", got)
	}
}

// What the title block says stands under the names of the script, and only if it is
// given.
func TestReportOfSheet(t *testing.T) {
	run := tray(t)
	run.Design.Sheet = &model.Sheet{Customer: "Hill & Son", DrawnBy: "R. Moss"}
	if text, want := string(reportOf(run)), `"sheet": {"customer": "Hill & Son", "drawn_by": "R. Moss"},`; !strings.Contains(text, want) {
		t.Errorf("no %s in %s", want, text)
	}
}

// What is not known is null where a reader looks for it: grammage, grain, mass,
// the line of a hinge that has none.
func TestReportOfUnknowns(t *testing.T) {
	run := tray(t)
	b := run.Blanks[0]
	b.Piece.Board = &board.Board{Name: "found card", Kind: board.Card, Caliper: 0.4}
	b.Hinges[0].Kind = ""
	text := string(reportOf(run))
	for _, want := range []string{`"gsm": null, "grain": null`, `"mass_g": null`, `"kind": null`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in %s", want, text)
		}
	}
	gsm := 250.0
	b.Piece.Board.GSM = &gsm
	// 250 g/m² on 4796.858407 mm².
	if text := string(reportOf(run)); !strings.Contains(text, `"mass_g": 1.199215`) {
		t.Errorf("no mass in %s", text)
	}
}

// Laws: for random hinge trees the report is JSON, the flat pose and the flat
// motion say the same, the rotation is rigid to 1e-12, and a point of the
// panel goes where the model sends it.
func TestReportedMotionsAreTheModels(t *testing.T) {
	for seed := range int64(20) {
		rnd := rand.New(rand.NewSource(seed))
		d := modeltest.Bricks(rnd, 30, geom.Rotation(geom.Radians(rnd.Float64()*7), geom.Pt(3, 4))).Design
		p := d.Pieces[0]
		b := &blank.Blank{Piece: p}
		for _, panel := range p.Panels {
			b.Regions = append(b.Regions, blank.Region{Panel: panel})
		}
		var doc struct {
			Pieces []struct {
				Panels []struct {
					Name  string
					Flat  [6]float64
					Poses map[string][12]float64
				}
			}
		}
		if err := json.Unmarshal(reportOf(emit.Run{Design: d, Blanks: []*blank.Blank{b}}), &doc); err != nil {
			t.Fatal(err)
		}
		for i, got := range doc.Pieces[0].Panels {
			f, m := got.Flat, got.Poses["flat"]
			if m != [12]float64{f[0], f[2], 0, f[4], f[1], f[3], 0, f[5], 0, 0, 1, 0} {
				t.Fatalf("panel %s: flat %v against pose %v", got.Name, f, m)
			}
			if off := math.Abs(f[0]*f[0]+f[1]*f[1]-1) + math.Abs(f[0]*f[3]-f[1]*f[2]-1); off > 1e-12 {
				t.Fatalf("panel %s: rotation is off by %v", got.Name, off)
			}
			q := geom.Pt(rnd.Float64()*50, rnd.Float64()*50)
			want := p.Panels[i].Flat.Apply(q)
			if back := (geom.Isometry{A: f[0], B: f[1], C: f[2], D: f[3], E: f[4], F: f[5]}).Apply(q); back.Dist(want) > 3e-9 {
				t.Fatalf("panel %s: %v goes to %v, reported %v", got.Name, q, want, back)
			}
		}
	}
}
