package model

import (
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func TestPoses(t *testing.T) {
	b, top, corner := window4()
	must(b.Hinge(at(5), HingeSpec{A: edge(b, top, "right"), B: edge(b, corner, "left")}))
	must(b.Pose(at(6), PoseSpec{Name: "open", FoldDegrees: map[string]geom.Degrees{"top": -20, "top|corner": 0}}))
	must(b.Pose(at(7), PoseSpec{Name: "half", At: ptr(0.5), Unglued: true}))
	poses := b.design.Poses
	if len(poses) != 4 || poses[0].Name != "flat" || poses[0].At != 0 || poses[1].Name != "closed" || poses[1].At != 1 || !poses[1].Glued {
		t.Fatalf("poses %+v", poses)
	}
	open, half := poses[2], poses[3]
	if len(open.FoldDegrees) != 2 || open.FoldDegrees[top.Hang] != -20 || open.At != 1 || !open.Glued {
		t.Errorf("open %+v", open)
	}
	if _, ok := open.FoldDegrees[b.hinges["top|corner"]]; !ok {
		t.Error("the closing hinge has no fold in open")
	}
	if half.At != 0.5 || half.Glued || len(half.FoldDegrees) != 0 {
		t.Errorf("half %+v", half)
	}
}

// The pose "closed" can be given an order of folding, once and with nothing
// else; poses without an order of their own take it.
func TestPoseOrder(t *testing.T) {
	for _, s := range []PoseSpec{
		{Name: PoseClosed, Order: []*Panel{nil}, At: ptr(0.5)},
		{Name: PoseClosed, Order: []*Panel{nil}, Unglued: true},
		{Name: PoseClosed, Order: []*Panel{nil}, FoldDegrees: map[string]geom.Degrees{"top": 90}},
	} {
		b, top, _ := window4()
		s.Order[0] = top
		refuse(t, []fault{{"more than an order", failed(b.Pose(at(99), s)), `pose "closed": the poses "flat" and "closed" always exist`, ""}})
	}
	b, top, corner := window4()
	closed := must(b.Pose(at(5), PoseSpec{Name: PoseClosed, Order: []*Panel{corner, top}, At: ptr(1.0)}))
	must(b.Pose(at(6), PoseSpec{Name: "own", Order: []*Panel{top, corner}}))
	must(b.Pose(at(7), PoseSpec{Name: "none"}))
	refuse(t, []fault{{"a second order", failed(b.Pose(at(99), PoseSpec{Name: PoseClosed, Order: []*Panel{top, corner}})),
		`pose "closed": the poses "flat" and "closed" always exist`, ""}})
	card := must(b.Board(at(8), BoardSpec{Name: "card", Caliper: 0.4}))
	must(b.Piece(at(9), PieceSpec{Name: "p", Root: b.panels["front"], Board: card, Copies: 1}))
	d := must(b.Finish())
	for _, p := range d.Poses {
		want := []*Panel{corner, top}
		if p.Name == "own" {
			slices.Reverse(want)
		}
		if !slices.Equal(p.Order, want) {
			t.Errorf("pose %s folds in order %v, want %v", p.Name, p.Order, want)
		}
	}
	if closed != d.Poses[1] || len(d.Poses) != 4 {
		t.Errorf("%d poses, want 4 with the one given an order in its old place", len(d.Poses))
	}
}

func TestPoseRefuses(t *testing.T) {
	b, _, _ := window4()
	must(b.Pose(at(6), PoseSpec{Name: "open"}))
	pose := func(name string, folds map[string]geom.Degrees, at1 *float64) error {
		return failed(b.Pose(at(99), PoseSpec{Name: name, FoldDegrees: folds, At: at1}))
	}
	refuse(t, []fault{
		{"no name", pose("", nil, nil), `pose "": the name is empty`, ""},
		{"flat", pose("flat", nil, nil), `pose "flat": the poses "flat" and "closed" always exist`, "give this one another name; of \"closed\" the order of folding and the panel that it stands on can be given, once each"},
		{"closed", pose("closed", nil, nil), `pose "closed": the poses "flat" and "closed" always exist`, ""},
		{"twice", pose("open", nil, nil), `pose "open": there is a pose of that name already`, ""},
		{"unknown hinge", pose("p", map[string]geom.Degrees{"rigth": 0}, nil), `pose "p": no hinge is named "rigth"`, `did you mean "right"?`},
		{"a root", pose("p", map[string]geom.Degrees{"front": 0}, nil), `pose "p": panel "front" hangs on nothing, so it has no hinge to fold`, ""},
		{"fold", pose("p", map[string]geom.Degrees{"top": 181}, nil), `pose "p": the fold of top = 181 is not between -180 and 180`, ""},
		{"fold NaN", pose("p", map[string]geom.Degrees{"top": geom.Degrees(nan)}, nil), `pose "p": the fold of top = NaN is not between -180 and 180`, ""},
		{"at", pose("p", nil, ptr(1.5)), `pose "p": at = 1.5 is not between 0 and 1`, ""},
		{"at NaN", pose("p", nil, ptr(nan)), `pose "p": at = NaN is not between 0 and 1`, ""},
	})
	if len(b.design.Poses) != 3 {
		t.Error("a refused pose stayed in the design")
	}
}

func TestJoins(t *testing.T) {
	b, top, corner := window4()
	w := must(b.Cut(at(5), corner, rectAt(5, 5, 5, 5)))
	meet := must(b.Meet(at(6), edge(b, top, "right"), edge(b, corner, "left"), 1.5))
	glue := must(b.Glue(at(7), GlueSpec{A: top, B: corner}))
	tuck := must(b.Tuck(at(8), TuckSpec{A: top, Into: ToWindow(w)}))
	flat := must(b.Tuck(at(9), TuckSpec{A: top, Into: ToPanel(corner)}))
	if meet.Kind != MeetJoin || meet.A.Edge.Name != "right" || meet.B.Panel != corner || meet.Gap != 1.5 {
		t.Errorf("meet %+v", meet)
	}
	if glue.Kind != GlueJoin || glue.A.Panel != top || glue.B.Panel != corner || glue.A.Edge != nil {
		t.Errorf("glue %+v", glue)
	}
	if tuck.Kind != TuckJoin || tuck.B.Window != w || tuck.B.Panel != corner || flat.B.Window != nil {
		t.Errorf("tucks %+v, %+v", tuck, flat)
	}
	if n := len(b.design.Joins); n != 4 || b.design.Joins[3].Site.First().Line != 9 {
		t.Errorf("%d joins", n)
	}
}

func TestJoinRefuses(t *testing.T) {
	b, top, corner := window4()
	lone := must(b.Panel(at(6), PanelSpec{Name: "lone", Outline: rect(60, 40)}))
	w, site := must(b.Cut(at(7), top, rectAt(5, 5, 5, 5))), at(99)
	right, left := edge(b, top, "right"), edge(b, corner, "left")
	slit := must(b.Slit(at(8), top, line(geom.Pt(5, 15), geom.Pt(10, 15))))
	score := must(b.Work(at(9), WorkSpec{Kind: ScoreLine, Panel: top, Path: line(geom.Pt(5, 20), geom.Pt(10, 20))}))
	two := `panel "top" hangs in the tree of "front" and panel "lone" in that of "lone", and nothing joins two pieces`
	refuse(t, []fault{
		{"meet itself", failed(b.Meet(site, right, right, 0)), `meet: both edges are top.right`, ""},
		{"meet nothing", failed(b.Meet(site, right, EdgeRef{}, 0)), `meet: the second edge is missing`, ""},
		{"meet gap", failed(b.Meet(site, right, left, nan)), `meet: gap = NaN mm is not between 0 and 100000 mm`, ""},
		{"meet another tree", failed(b.Meet(site, right, edge(b, lone, "left"), 0)), "meet: " + two, ""},
		{"glue itself", failed(b.Glue(site, GlueSpec{A: top, B: top})), `glue: both panels are "top"`, ""},
		{"glue nothing", failed(b.Glue(site, GlueSpec{A: nil, B: top})), `glue: the first panel is missing`, ""},
		{"glue another tree", failed(b.Glue(site, GlueSpec{A: top, B: lone})), "glue: " + two, ""},
		{"tuck nowhere", failed(b.Tuck(site, TuckSpec{A: top, Into: JoinEnd{}})), `tuck: the second panel is missing`, ""},
		{"tuck into no opening", failed(b.Tuck(site, TuckSpec{A: top, Into: ToWindow(nil)})), `tuck: the second panel is missing`, ""},
		{"tuck into itself", failed(b.Tuck(site, TuckSpec{A: top, Into: ToWindow(w)})), `tuck: both panels are "top"`, ""},
		{"tuck into an edge", failed(b.Tuck(site, TuckSpec{A: top, Into: ToEdge(left)})), `tuck: a panel is tucked into a panel or an opening, not into an edge`, ""},
		{"tuck into a score", failed(b.Tuck(site, TuckSpec{A: corner, Into: ToSlit(score)})), `tuck: a panel is tucked into a slit, not into a line that is scored, perforated or drawn`, ""},
		{"reach in a slit", failed(b.Tuck(site, TuckSpec{A: corner, Into: ToSlit(slit), Reach: 5})), `tuck: reach and side are about a panel it lies along, and it goes through an opening or a slit`, ""},
		{"lock behind a panel", failed(b.Tuck(site, TuckSpec{A: corner, Into: ToPanel(top), Locked: true})), `tuck: locked is about an opening or a slit it goes through`, "cut it and give it as into"},
		{"tuck into another tree", failed(b.Tuck(site, TuckSpec{A: top, Into: ToPanel(lone)})), "tuck: " + two, ""},
	})
	if len(b.design.Joins) != 0 {
		t.Error("a refused join stayed in the design")
	}
}

func TestContents(t *testing.T) {
	b, front := newFront()
	soap := must(b.Contents(at(2), ContentsSpec{
		Name: "soap", Size: [3]float64{50, 30, 20}, On: front, At: &geom.Point{X: 30, Y: 20},
		TurnDegrees: 45, Clearance: 1, Mass: ptr(90.0),
	}))
	jar := must(b.Contents(at(3), ContentsSpec{Name: "jar", Size: [3]float64{30, 30, 60}, Round: true, On: front}))
	if soap.Panel != front || soap.Size[2] != 20 || soap.At.X != 30 || soap.TurnDegrees != 45 || *soap.Mass != 90 || soap.Round {
		t.Errorf("soap %+v", soap)
	}
	if !jar.Round || jar.At != nil || jar.Mass != nil || len(b.design.Contents) != 2 {
		t.Errorf("jar %+v", jar)
	}
}

func TestContentsRefuses(t *testing.T) {
	b, front := newFront()
	must(b.Contents(at(2), ContentsSpec{Name: "soap", Size: [3]float64{1, 1, 1}, On: front}))
	contents := func(change func(*ContentsSpec)) error {
		s := ContentsSpec{Name: "c", Size: [3]float64{50, 30, 20}, On: front}
		change(&s)
		return failed(b.Contents(at(99), s))
	}
	refuse(t, []fault{
		{"no name", contents(func(s *ContentsSpec) { s.Name = "" }), `contents "": the name is empty`, ""},
		{"twice", contents(func(s *ContentsSpec) { s.Name = "soap" }), `contents "soap": there are contents of that name already`, ""},
		{"flat", contents(func(s *ContentsSpec) { s.Size[2] = 0 }), `contents "c": size z = 0 mm is not between 0.001 and 100000 mm`, ""},
		{"NaN", contents(func(s *ContentsSpec) { s.Size[0] = nan }), `contents "c": size x = NaN mm is not between 0.001 and 100000 mm`, ""},
		{"no diameter", contents(func(s *ContentsSpec) { s.Round, s.Size[0], s.Size[1] = true, -3, -3 }), `contents "c": diameter = -3 mm is not between 0.001 and 100000 mm`, ""},
		{"two diameters", contents(func(s *ContentsSpec) { s.Round = true }), `contents "c": a cylinder has one diameter, not 50 and 30 mm`, ""},
		{"nowhere", contents(func(s *ContentsSpec) { s.On = nil }), `contents "c": on is missing`, ""},
		{"at", contents(func(s *ContentsSpec) { s.At = &geom.Point{Y: inf} }), `contents "c": at y = +Inf mm is not between -100000 and 100000 mm`, ""},
		{"turn", contents(func(s *ContentsSpec) { s.TurnDegrees = geom.Degrees(inf) }), `contents "c": turn = +Inf is not a number`, ""},
		{"clearance", contents(func(s *ContentsSpec) { s.Clearance = -1 }), `contents "c": clearance = -1 mm is not between 0 and 100000 mm`, ""},
		{"mass", contents(func(s *ContentsSpec) { s.Mass = ptr(0.0) }), `contents "c": mass = 0 g is not a positive number`, ""},
		{"mass inf", contents(func(s *ContentsSpec) { s.Mass = &inf }), `contents "c": mass = +Inf g is not a positive number`, ""},
	})
}

// The pose "closed" can be given a panel to stand on, once, besides its order of
// folding; poses without one of their own take it.
func TestPoseStandsOn(t *testing.T) {
	b, top, corner := window4()
	must(b.Pose(at(5), PoseSpec{Name: PoseClosed, Order: []*Panel{corner, top}}))
	closed := must(b.Pose(at(6), PoseSpec{Name: PoseClosed, StandsOn: top}))
	must(b.Pose(at(7), PoseSpec{Name: "own", StandsOn: corner}))
	must(b.Pose(at(8), PoseSpec{Name: "none"}))
	refuse(t, []fault{{"a second panel", failed(b.Pose(at(99), PoseSpec{Name: PoseClosed, StandsOn: corner})),
		`pose "closed": the poses "flat" and "closed" always exist`, ""}})
	card := must(b.Board(at(9), BoardSpec{Name: "card", Caliper: 0.4}))
	must(b.Piece(at(10), PieceSpec{Name: "p", Root: b.panels["front"], Board: card, Copies: 1}))
	for _, p := range must(b.Finish()).Poses {
		want := top
		if p.Name == "own" {
			want = corner
		}
		if p.StandsOn != want {
			t.Errorf("pose %s stands on %v", p.Name, p.StandsOn)
		}
	}
	if len(closed.Order) != 2 {
		t.Error("the order given before is gone")
	}
}

// An edge to stand on names its panel too; it must be straight.
func TestPoseStandsOnEdge(t *testing.T) {
	b, top, _ := window4()
	foot := edge(b, top, "top")
	p := must(b.Pose(at(5), PoseSpec{Name: "own", Foot: &foot}))
	if p.StandsOn != top || p.Foot.Name != "top" {
		t.Errorf("the pose stands on %v, %v", p.StandsOn, p.Foot)
	}
	disc := must(b.Panel(at(6), PanelSpec{Name: "disc", Outline: must(geom.Circle(20))}))
	round := edge(b, disc, disc.Outline.Names()[0])
	refuse(t, []fault{{"a round edge", failed(b.Pose(at(99), PoseSpec{Name: "rolls", Foot: &round})),
		`pose "rolls": edge disc.` + round.Name + ` is an arc of radius 10 mm bulging out, and a piece stands on a straight edge`, ""}})
}
