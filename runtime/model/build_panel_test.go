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
		{"fold NaN", panel(func(s *PanelSpec) { s.On, s.Fold = &top, Degrees(geom.Degrees(nan)) }), `panel "p": fold = NaN is not between -180 and 180`, ""},
		{"slide NaN", panel(func(s *PanelSpec) { s.On, s.Slide = &top, nan }), `panel "p": slide = NaN mm is not between -100000 and 100000 mm`, ""},
		{"slide inf", panel(func(s *PanelSpec) { s.On, s.Slide = &top, inf }), `panel "p": slide = +Inf mm is not between -100000 and 100000 mm`, ""},
		{"line", panel(func(s *PanelSpec) { s.On, s.Line = &top, "scoer" }),
			`panel "p": line = "scoer" is not one of score, perforated, part-cut, groove, plain`, `did you mean "score"?`},
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
	f := must(b.Free(at(1), "out", ptr(geom.Degrees(-30))))
	if f.Side != Out || *f.NearDegrees != -30 {
		t.Errorf("%+v", f)
	}
	free := func(side string, near geom.Degrees) error { return failed(b.Free(at(99), side, &near)) }
	refuse(t, []fault{
		{"side", free("inn", 1), `free: side = "inn" is not one of in, out`, `did you mean "in"?`},
		{"near on the other side", free("in", -1), `free: near = -1 is not between 0 and 180`, ""},
		{"near beyond", free("out", -181), `free: near = -181 is not between -180 and 0`, ""},
		{"near NaN", free("in", geom.Degrees(nan)), `free: near = NaN is not between 0 and 180`, ""},
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

// Left and right of every edge of a rect, written down by hand: stand on the
// board and look out over the edge.
func TestEdgeEnds(t *testing.T) {
	b, front := newFront()
	for _, c := range []struct {
		name        string
		left, right geom.Point
	}{
		{"top", geom.Pt(0, 40), geom.Pt(60, 40)},
		{"bottom", geom.Pt(60, 0), geom.Pt(0, 0)},
		{"right", geom.Pt(60, 40), geom.Pt(60, 0)},
		{"left", geom.Pt(0, 0), geom.Pt(0, 40)},
	} {
		e := edge(b, front, c.name)
		near(t, c.name+" left end", e.Start(), c.left, 0)
		near(t, c.name+" right end", e.End(), c.right, 0)
		if e.String() != "front."+c.name {
			t.Errorf("%s is called %s", c.name, e)
		}
	}
}

// The same on an opening: the board lies round it, and looking out is looking
// into the hole.
func TestOpeningEnds(t *testing.T) {
	b, front := newFront()
	w := must(b.Cut(at(2), front, rectAt(10, 10, 20, 10)))
	for _, c := range []struct {
		name        string
		left, right geom.Point
	}{
		{"top", geom.Pt(30, 20), geom.Pt(10, 20)},
		{"bottom", geom.Pt(10, 10), geom.Pt(30, 10)},
		{"right", geom.Pt(30, 10), geom.Pt(30, 20)},
		{"left", geom.Pt(10, 20), geom.Pt(10, 10)},
	} {
		e := must(b.OpeningEdge(nil, w, c.name))
		near(t, c.name+" left end", e.Start(), c.left, 0)
		near(t, c.name+" right end", e.End(), c.right, 0)
		if e.String() != "front opening."+c.name {
			t.Errorf("%s is called %s", c.name, e)
		}
	}
}

// Parts count from the left end, and a part of a part from the part's own.
func TestPart(t *testing.T) {
	b, front := newFront()
	for _, c := range []struct {
		name                   string
		left, right, inL, inR  geom.Point
		from, to, inFrom, inTo float64
	}{
		{"top", geom.Pt(10, 40), geom.Pt(25, 40), geom.Pt(12, 40), geom.Pt(20, 40), 10, 25, 2, 10},
		{"bottom", geom.Pt(50, 0), geom.Pt(35, 0), geom.Pt(48, 0), geom.Pt(40, 0), 10, 25, 2, 10},
		{"right", geom.Pt(60, 30), geom.Pt(60, 15), geom.Pt(60, 28), geom.Pt(60, 20), 10, 25, 2, 10},
		{"left", geom.Pt(0, 10), geom.Pt(0, 25), geom.Pt(0, 12), geom.Pt(0, 20), 10, 25, 2, 10},
	} {
		e := must(b.Part(at(2), edge(b, front, c.name), c.from, c.to))
		near(t, c.name+" part, left end", e.Start(), c.left, 1e-12)
		near(t, c.name+" part, right end", e.End(), c.right, 1e-12)
		e = must(b.Part(at(2), e, c.inFrom, c.inTo))
		near(t, c.name+" inner part, left end", e.Start(), c.inL, 1e-12)
		near(t, c.name+" inner part, right end", e.End(), c.inR, 1e-12)
		if e.Length() != 8 {
			t.Errorf("%s: inner part is %g mm, want 8", c.name, e.Length())
		}
	}
}

func TestEdgeRefuses(t *testing.T) {
	b, front := newFront()
	other, _ := newFront()
	top, site := edge(b, front, "top"), at(99)
	w := must(b.Cut(at(2), front, rectAt(10, 10, 20, 10)))
	part := func(from, to float64) error { return failed(b.Part(site, top, from, to)) }
	refuse(t, []fault{
		{"slip of the hand", failed(b.Edge(site, front, "tpo")),
			`panel "front": there is no edge "tpo"`, `did you mean "top"?`},
		{"nothing like it", failed(b.Edge(site, front, "circumference")),
			`panel "front": there is no edge "circumference"`, "choose from bottom, right, top, left"},
		{"no panel", failed(b.Edge(site, nil, "top")), `edge: the panel is missing`, ""},
		{"another design's panel", failed(other.Edge(site, hung(b, "x", rect(60, 5), top), "top")),
			`edge: the panel, panel "x", belongs to another design`, ""},
		{"opening", failed(b.OpeningEdge(site, w, "topp")),
			`the opening in panel "front": there is no edge "topp"`, `did you mean "top"?`},
		{"no opening", failed(b.OpeningEdge(site, nil, "top")), `edge: the opening is missing`, ""},
		{"part before the edge", part(-1, 5), `edge front.top: the part from -1 to 5 mm does not lie within 0 to 60 mm`, ""},
		{"part beyond the edge", part(5, 61), `edge front.top: the part from 5 to 61 mm does not lie within 0 to 60 mm`, ""},
		{"empty part", part(5, 5), `edge front.top: the part from 5 to 5 mm is empty`, ""},
		{"part backwards", part(9, 5), `edge front.top: the part from 9 to 5 mm is empty`, ""},
		{"part of no number", part(nan, 5), `edge front.top: a = NaN is not a number`, ""},
		{"part without end", part(5, inf), `edge front.top: b = +Inf is not a number`, ""},
		{"made-up edge", failed(b.Part(site, EdgeRef{Panel: front, Name: "top", Index: 9}, 0, 1)),
			`edge front.top: it, front.top, is no edge`, ""},
		{"made-up stretch", failed(b.Part(site, EdgeRef{Panel: front, Name: "top", Index: 2, From: 70, To: 80}, 0, 1)),
			`edge front.top: it, front.top, is no stretch of the edge: it runs from 70 to 80 mm`, ""},
	})
}

func TestCut(t *testing.T) {
	b, front := newFront()
	hole := rectAt(10, 10, 5, 5).Reverse()
	w := must(b.Cut(at(2), front, hole))
	if w.Panel != front || w.Outline.Area() != 25 || len(front.Windows) != 1 || w.Site.First().Line != 2 {
		t.Errorf("window %+v", w)
	}
	slit, err := b.Cut(at(3), front, line(geom.Pt(0, 5), geom.Pt(9, 5)))
	if slit != nil || err != nil || len(front.Works) != 1 || front.Works[0].Kind != Slit {
		t.Errorf("slit gives %v, %v and works %v", slit, err, front.Works)
	}
}

func TestWork(t *testing.T) {
	b, front := newFront()
	path := line(geom.Pt(0, 5), geom.Pt(9, 5))
	for _, s := range []WorkSpec{
		{Kind: ScoreLine}, {Kind: ScoreLine, Line: BackPartCut},
		{Kind: Perforation, Cut: 3, Tie: 1}, {Kind: Drawn},
		{Kind: ScoreLine, Path: rect(5, 5)},
	} {
		if s.Path.Edges == nil {
			s.Path = path
		}
		s.Panel = front
		w := must(b.Work(at(4), s))
		if w.Kind != s.Kind || w.Panel != front || w.Cut != s.Cut || w.Tie != s.Tie || w.Site.First().Line != 4 {
			t.Errorf("asked for %+v, got %+v", s, w)
		}
	}
	if len(front.Works) != 5 || front.Works[0].Line != Score || front.Works[1].Line != BackPartCut {
		t.Errorf("works %+v", front.Works)
	}
}

func TestWorkRefuses(t *testing.T) {
	b, front := newFront()
	path := line(geom.Pt(0, 5), geom.Pt(9, 5))
	work := func(s WorkSpec) error {
		s.Panel, s.Path = front, path
		return failed(b.Work(at(99), s))
	}
	refuse(t, []fault{
		{"cut nothing", failed(b.Cut(at(99), nil, path)), `cut: the panel is missing`, ""},
		{"score nothing", failed(b.Work(at(99), WorkSpec{Kind: ScoreLine, Path: path})), `score: the panel is missing`, ""},
		{"line", work(WorkSpec{Kind: ScoreLine, Line: "perforated"}),
			`score on panel "front": line = "perforated" is not one of score, part-cut, back-score, back-part-cut`, ""},
		{"cut 0", work(WorkSpec{Kind: Perforation, Tie: 1}), `perforate on panel "front": cut = 0 mm is not between 0.001 and 100000 mm`, ""},
		{"tie NaN", work(WorkSpec{Kind: Perforation, Cut: 3, Tie: nan}), `perforate on panel "front": tie = NaN mm is not between 0.001 and 100000 mm`, ""},
		{"slit", work(WorkSpec{Kind: Slit}), `cut on panel "front": this kind of work is for Cut`, ""},
	})
	for name, err := range map[string]error{
		"no edges": failed(b.Cut(nil, front, geom.Path{})),
		"NaN":      failed(b.Cut(nil, front, line(geom.Pt(0, nan), geom.Pt(9, 5)))),
	} {
		if err == nil {
			t.Errorf("a path with %s is accepted", name)
		}
	}
	if len(front.Works)+len(front.Windows) != 0 {
		t.Error("refused work stayed on the panel")
	}
}
