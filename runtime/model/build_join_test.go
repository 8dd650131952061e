package model

import "testing"

func TestJoins(t *testing.T) {
	b, top, corner := window4()
	w := must(b.Cut(at(5), corner, rectAt(5, 5, 5, 5)))
	meet := must(b.Meet(at(6), edge(b, top, "right"), edge(b, corner, "left"), 1.5))
	glue := must(b.Glue(at(7), top, corner))
	tuck := must(b.Tuck(at(8), top, ToWindow(w)))
	flat := must(b.Tuck(at(9), top, ToPanel(corner)))
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
	two := `panel "top" hangs in the tree of "front" and panel "lone" in that of "lone", and nothing joins two pieces`
	refuse(t, []fault{
		{"meet itself", failed(b.Meet(site, right, right, 0)), `meet: both edges are top.right`, ""},
		{"meet nothing", failed(b.Meet(site, right, EdgeRef{}, 0)), `meet: the second edge is missing`, ""},
		{"meet gap", failed(b.Meet(site, right, left, nan)), `meet: gap = NaN mm is not between 0 and 100000 mm`, ""},
		{"meet another tree", failed(b.Meet(site, right, edge(b, lone, "left"), 0)), "meet: " + two, ""},
		{"glue itself", failed(b.Glue(site, top, top)), `glue: both panels are "top"`, ""},
		{"glue nothing", failed(b.Glue(site, nil, top)), `glue: the first panel is missing`, ""},
		{"glue another tree", failed(b.Glue(site, top, lone)), "glue: " + two, ""},
		{"tuck nowhere", failed(b.Tuck(site, top, JoinEnd{})), `tuck: the second panel is missing`, ""},
		{"tuck into no opening", failed(b.Tuck(site, top, ToWindow(nil))), `tuck: the second panel is missing`, ""},
		{"tuck into itself", failed(b.Tuck(site, top, ToWindow(w))), `tuck: both panels are "top"`, ""},
		{"tuck into an edge", failed(b.Tuck(site, top, ToEdge(left))), `tuck: a panel is tucked into a panel or an opening, not into an edge`, ""},
		{"tuck into another tree", failed(b.Tuck(site, top, ToPanel(lone))), "tuck: " + two, ""},
	})
	if len(b.design.Joins) != 0 {
		t.Error("a refused join stayed in the design")
	}
}
