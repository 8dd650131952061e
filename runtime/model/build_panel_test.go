package model

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

func TestPanelRefuses(t *testing.T) {
	b, front := newFront()
	top, square := edge(b, front, "top"), rect(60, 40)
	panel := func(change func(*PanelSpec)) error {
		s := PanelSpec{Name: "p", Outline: square}
		change(&s)
		return failed(b.Panel(at(99), s))
	}
	renamed := func(name string) geom.Path {
		p := rect(60, 40)
		p.Edges[1].Name = name
		return p
	}
	open := line(geom.Pt(0, 0), geom.Pt(5, 0), geom.Pt(5, 5))
	refuse(t, []fault{
		{"no name", panel(func(s *PanelSpec) { s.Name = "" }), `panel "": the name is empty`, ""},
		{"blank name", panel(func(s *PanelSpec) { s.Name = "  " }), `panel "  ": the name is empty`, ""},
		{"long name", panel(func(s *PanelSpec) { s.Name = strings.Repeat("ä", 201) }), `panel: a name of 201 characters is too long, at most 200 are allowed`, ""},
		{"bad name", panel(func(s *PanelSpec) { s.Name = "a\xff" }), `panel "a\xff": the name is not valid UTF-8`, ""},
		{"name taken", panel(func(s *PanelSpec) { s.Name = "front" }), `panel "front": there is a panel of that name already`, ""},
		{"open outline", panel(func(s *PanelSpec) { s.Outline = open }), `panel "p": the outline is not closed`, "end the path with .close()"},
		{"a panel's word", panel(func(s *PanelSpec) { s.Outline = renamed("score") }),
			`panel "p": an edge may not be called "score", which is a word of panels`, "give the edge another name"},
		{"unnamed edge", panel(func(s *PanelSpec) { s.Outline = renamed("") }), `panel "p": an edge of the outline has no name`, ""},
		{"two edges of a name", panel(func(s *PanelSpec) { s.Outline = renamed("top") }), `panel "p": two edges are named "top"`, ""},
		{"by on nothing", panel(func(s *PanelSpec) { s.By = "top" }),
			`panel "p": by is given, and the panel hangs on no edge`, "say on which edge it hangs, as in on = front.top"},
		{"fold on nothing", panel(func(s *PanelSpec) { s.Fold = Degrees(90) }), `panel "p": fold is given, and the panel hangs on no edge`, ""},
		{"line on nothing", panel(func(s *PanelSpec) { s.Line = Score }), `panel "p": line is given, and the panel hangs on no edge`, ""},
		{"slide on nothing", panel(func(s *PanelSpec) { s.Slide = 1 }), `panel "p": slide is given, and the panel hangs on no edge`, ""},
		{"overhang on nothing", panel(func(s *PanelSpec) { s.Overhang = true }), `panel "p": overhang is given, and the panel hangs on no edge`, ""},
		{"by no edge", panel(func(s *PanelSpec) { s.On, s.By = &top, "botom" }), `panel "p": there is no edge "botom"`, `did you mean "bottom"?`},
		{"on no edge", panel(func(s *PanelSpec) { s.On = &EdgeRef{} }), `panel "p": on is missing`, ""},
		{"fold", panel(func(s *PanelSpec) { s.On, s.Fold = &top, Degrees(200) }), `panel "p": fold = 200 is not between -180 and 180`, ""},
		{"fold NaN", panel(func(s *PanelSpec) { s.On, s.Fold = &top, Degrees(nan) }), `panel "p": fold = NaN is not between -180 and 180`, ""},
		{"slide NaN", panel(func(s *PanelSpec) { s.On, s.Slide = &top, nan }), `panel "p": slide = NaN mm is not between -100000 and 100000 mm`, ""},
		{"slide inf", panel(func(s *PanelSpec) { s.On, s.Slide = &top, inf }), `panel "p": slide = +Inf mm is not between -100000 and 100000 mm`, ""},
		{"line", panel(func(s *PanelSpec) { s.On, s.Line = &top, "scoer" }),
			`panel "p": line = "scoer" is not one of score, perforated, part-cut, plain`, `did you mean "score"?`},
		{"made-up free fold", panel(func(s *PanelSpec) { s.On, s.Fold = &top, Freely(&Free{}) }), `panel "p": a free fold goes neither in nor out`, ""},
	})
	if len(b.design.Panels) != 1 {
		t.Errorf("%d panels after refusals, want 1", len(b.design.Panels))
	}
}

// A duplicate name points at the first call too, and so does a panel named as
// a closing hinge.
func TestNameTakenPointsBack(t *testing.T) {
	b, top, corner := window4()
	must(b.Hinge(at(7), HingeSpec{A: edge(b, top, "right"), B: edge(b, corner, "left")}))
	for name, line := range map[string]int{"front": 1, "top|corner": 7} {
		_, err := b.Panel(at(99), PanelSpec{Name: name, Outline: rect(5, 5)})
		var f *diag.Finding
		if !errors.As(err, &f) || len(f.Related) != 1 || f.Related[0].Span.Line != line {
			t.Errorf("%s: %+v, want a spot on line %d", name, f, line)
		}
	}
}

// A clockwise outline is turned round; what was given stays as it was.
func TestClockwiseOutline(t *testing.T) {
	b := NewBuilder(nil)
	given := rect(60, 40).Reverse()
	p := must(b.Panel(nil, PanelSpec{Name: "p", Outline: given}))
	if p.Outline.Area() != 2400 || given.Area() != -2400 || p.Outline.Edges[0].Name != "bottom" {
		t.Errorf("areas %g and %g", p.Outline.Area(), given.Area())
	}
}

func TestFree(t *testing.T) {
	b := NewBuilder(nil)
	f := must(b.Free(at(1), "out", ptr(-30.0)))
	if f.Side != Out || *f.NearDegrees != -30 {
		t.Errorf("%+v", f)
	}
	free := func(side string, near float64) error { return failed(b.Free(at(99), side, &near)) }
	refuse(t, []fault{
		{"side", free("inn", 1), `free: side = "inn" is not one of in, out`, `did you mean "in"?`},
		{"near on the other side", free("in", -1), `free: near = -1 is not between 0 and 180`, ""},
		{"near beyond", free("out", -181), `free: near = -181 is not between -180 and 0`, ""},
		{"near NaN", free("in", nan), `free: near = NaN is not between 0 and 180`, ""},
	})
}

// One free value used for two hinges is one unknown.
func TestSharedFree(t *testing.T) {
	b, front := newFront()
	f := must(b.Free(nil, "in", nil))
	for _, name := range []string{"left", "right"} {
		on := edge(b, front, name)
		p := must(b.Panel(nil, PanelSpec{Name: name, Outline: rect(10, 40), On: &on, Fold: Freely(f)}))
		if p.Hang.Fold.Free != f {
			t.Errorf("%s has a free fold of its own", name)
		}
	}
}

// A failed call leaves the edge it asked for free.
func TestRefusalLeavesEdgeFree(t *testing.T) {
	b, front := newFront()
	top := edge(b, front, "top")
	for i := range 3 {
		if _, err := b.Panel(nil, PanelSpec{Name: fmt.Sprint("x", i), Outline: rect(60, 5), On: &top, Fold: Degrees(999)}); err == nil {
			t.Fatal("fold 999 is accepted")
		}
	}
	hung(b, "lid", rect(60, 5), top)
}
