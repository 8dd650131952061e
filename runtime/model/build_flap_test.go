package model

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A flap 20 mm deep on each edge of the 60 × 40 front, with insets of 4 mm on
// the left and 6 mm on the right: its frame's corners in the blank, by hand.
// Left is where its own x begins.
func TestFlapSides(t *testing.T) {
	for _, c := range []struct {
		on                string
		baseLeft, tipLeft geom.Point
		baseRight         geom.Point
		width             float64
	}{
		{"top", geom.Pt(4, 40), geom.Pt(4, 60), geom.Pt(54, 40), 50},
		{"bottom", geom.Pt(56, 0), geom.Pt(56, -20), geom.Pt(6, 0), 50},
		{"right", geom.Pt(60, 36), geom.Pt(80, 36), geom.Pt(60, 6), 30},
		{"left", geom.Pt(0, 4), geom.Pt(-20, 4), geom.Pt(0, 34), 30},
	} {
		b, front := newFront()
		f := must(b.Flap(at(2), FlapSpec{Name: "f", On: edge(b, front, c.on), Depth: 20, Inset: Pair{4, 6}}))
		near(t, c.on+": base, left", f.Flat.Apply(geom.Pt(0, 0)), c.baseLeft, 1e-12)
		near(t, c.on+": base, right", f.Flat.Apply(geom.Pt(c.width, 0)), c.baseRight, 1e-12)
		near(t, c.on+": tip, left", f.Flat.Apply(geom.Pt(0, 20)), c.tipLeft, 1e-12)
		if got := f.Hang.Curve.Length(); math.Abs(got-c.width) > 1e-12 || f.Hang.By.Name != "base" || f.Role != FlapRole {
			t.Errorf("%s: hinge %g mm by %s", c.on, got, f.Hang.By.Name)
		}
	}
}

// The flap's outline: which side a taper leans, and where rounding goes.
func TestFlapOutline(t *testing.T) {
	b, front := newFront()
	top := edge(b, front, "top")
	f := must(b.Flap(at(2), FlapSpec{Name: "f", On: top, Depth: 20, TaperDegrees: AnglePair{45, -45}}))
	want := polygon("base right tip left", geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(80, 20), geom.Pt(20, 20))
	for i, e := range f.Outline.Edges {
		near(t, e.Name, e.P, want.Edges[i].P, 1e-12)
		if e.Name != want.Edges[i].Name {
			t.Errorf("edge %d is called %s", i, e.Name)
		}
	}
	if f.Over || f.Depth != 20 || f.Hang.Fold.Degrees != 90 {
		t.Errorf("over %v, depth %g, fold %g", f.Over, f.Depth, f.Hang.Fold.Degrees)
	}
}

// The left radius is at the tip's left corner, the right one at its right.
func TestFlapRounding(t *testing.T) {
	b, front := newFront()
	f := must(b.Flap(at(2), FlapSpec{Name: "f", On: edge(b, front, "top"), Depth: 20, Round: Pair{4, 9}}))
	for _, c := range []struct {
		name   string
		radius float64
		centre geom.Point
	}{{"right-tip", 9, geom.Pt(51, 11)}, {"tip-left", 4, geom.Pt(4, 16)}} {
		i := f.Outline.Index(c.name)
		if i < 0 || f.Outline.Edges[i].Kind != geom.Arc {
			t.Fatalf("no arc %s among %v", c.name, f.Outline.Names())
		}
		arc := f.Outline.Edges[i]
		near(t, c.name, arc.C, c.centre, 1e-9)
		if math.Abs(arc.R-c.radius) > 1e-9 {
			t.Errorf("%s has radius %g", c.name, arc.R)
		}
	}
	// A corner rounded by r loses r²(1 − π/4).
	if got, want := f.Outline.Area(), 1200-(81+16)*(1-math.Pi/4); math.Abs(got-want) > 1e-9 {
		t.Errorf("area %g, want %g", got, want)
	}
	half := must(b.Flap(at(3), FlapSpec{Name: "half", On: edge(b, front, "left"), Depth: 20, Round: Both(20)}))
	if got, want := half.Outline.Area(), math.Pi*200; math.Abs(got-want) > 1e-9 {
		t.Errorf("a flap rounded to a half circle has area %g, want %g", got, want)
	}
}

// A negative inset overhangs the edge; the hinge stops at the edge's ends.
func TestFlapOverhang(t *testing.T) {
	b, front := newFront()
	f := must(b.Flap(at(2), FlapSpec{Name: "f", On: edge(b, front, "top"), Depth: 20, Inset: Pair{-5, 0}}))
	near(t, "base, left", f.Flat.Apply(geom.Pt(0, 0)), geom.Pt(-5, 40), 1e-12)
	if !f.Over || math.Abs(f.Hang.Curve.Length()-60) > 1e-12 {
		t.Errorf("over %v, hinge %g mm", f.Over, f.Hang.Curve.Length())
	}
}

func TestFlapRefuses(t *testing.T) {
	b, front := newFront()
	bent := must(b.Panel(at(2), PanelSpec{Name: "bent", Outline: dome(60, 40, false)}))
	top, arc := edge(b, front, "top"), edge(b, bent, "top")
	flap := func(change func(*FlapSpec)) error {
		s := FlapSpec{Name: "f", On: top, Depth: 20}
		change(&s)
		return failed(b.Flap(at(99), s))
	}
	refuse(t, []fault{
		{"no depth", flap(func(s *FlapSpec) { s.Depth = 0 }), `flap "f": depth = 0 mm is not between 0.001 and 100000 mm`, ""},
		{"a sum's last bits", flap(func(s *FlapSpec) { s.Depth = 0.3 - 0.1 - 0.2 - 0.1 }), `flap "f": depth = -0.1 mm is not between 0.001 and 100000 mm`, ""},
		{"depth NaN", flap(func(s *FlapSpec) { s.Depth = nan }), `flap "f": depth = NaN mm is not between 0.001 and 100000 mm`, ""},
		{"taper 90", flap(func(s *FlapSpec) { s.TaperDegrees = BothAngles(90) }), `flap "f": taper = 90° on the left is not between -90° and 90°`, ""},
		{"taper NaN", flap(func(s *FlapSpec) { s.TaperDegrees.Right = geom.Degrees(nan) }), `flap "f": taper = NaN° on the right is not between -90° and 90°`, ""},
		{"round < 0", flap(func(s *FlapSpec) { s.Round.Right = -1 }), `flap "f": round on the right = -1 mm is not between 0 and 100000 mm`, ""},
		{"inset inf", flap(func(s *FlapSpec) { s.Inset.Left = inf }), `flap "f": inset on the left = +Inf mm is not between -100000 and 100000 mm`, ""},
		{"no tip", flap(func(s *FlapSpec) { s.TaperDegrees = AnglePair{60, 60} }),
			`flap "f": no tip is left: the base is 60 mm, and over a depth of 20 mm the taper takes 69.282 mm`, "make it less deep or taper it less"},
		{"no base", flap(func(s *FlapSpec) { s.Inset = Both(30) }),
			`flap "f": no base is left: edge front.top is 60 mm, the insets take 60 mm`, ""},
		{"huge tip", flap(func(s *FlapSpec) { s.TaperDegrees = BothAngles(-89.99) }),
			`flap "f": it would be 229243.1157 mm wide, more than 100000 mm`, ""},
		{"bent edge", flap(func(s *FlapSpec) { s.On = arc }),
			`flap "f": edge bent.top is an arc of radius 30 mm bulging out, and a flap hangs on a straight edge`, ""},
		{"fold", flap(func(s *FlapSpec) { s.Fold = Degrees(-181) }), `flap "f": fold = -181 is not between -180 and 180`, ""},
		{"line", flap(func(s *FlapSpec) { s.Line = "perforate" }),
			`flap "f": line = "perforate" is not one of score, perforated, part-cut, groove, plain`, `did you mean "perforated"?`},
		{"no edge", flap(func(s *FlapSpec) { s.On = EdgeRef{} }), `flap "f": on is missing`, ""},
		{"name taken", flap(func(s *FlapSpec) { s.Name = "front" }), `flap "front": there is a panel of that name already`, ""},
	})
}

func TestTab(t *testing.T) {
	b, front := newFront()
	back := hung(b, "back", rect(60, 40), edge(b, front, "left"))
	given := must(b.Tab(at(3), TabSpec{
		FlapSpec: FlapSpec{Name: "given", On: edge(b, front, "right"), Depth: 9, Fold: Degrees(-90)},
		To:       ToPanel(back), Gap: 2,
	}))
	if given.Role != TabRole || given.Hang.Fold.Free != nil || given.Hang.Fold.Degrees != -90 {
		t.Errorf("role %d, fold %+v", given.Role, given.Hang.Fold)
	}
	j := b.design.Joins[0]
	if j.Kind != TabJoin || j.A.Panel != given || j.B.Panel != back || j.Gap != 2 || j.Site.First().Line != 3 {
		t.Errorf("join %+v", j)
	}
	for i, name := range []string{"top", "bottom"} {
		p := must(b.Tab(at(4), TabSpec{FlapSpec: FlapSpec{Name: name, On: edge(b, front, name), Depth: 9}, To: ToPanel(back)}))
		if f := p.Hang.Fold.Free; f == nil || f.Side != In || i > 0 && f == b.panels["top"].Hang.Fold.Free {
			t.Errorf("tab %s has fold %+v, want a free one of its own toward the inside", name, p.Hang.Fold)
		}
	}
}

func TestTabRefuses(t *testing.T) {
	b, front := newFront()
	lone := must(b.Panel(at(2), PanelSpec{Name: "lone", Outline: rect(60, 40)}))
	w := must(b.Cut(at(3), front, rectAt(5, 5, 5, 5)))
	top := edge(b, front, "top")
	tab := func(to JoinEnd, gap float64) error {
		return failed(b.Tab(at(99), TabSpec{FlapSpec: FlapSpec{Name: "t", On: top, Depth: 9}, To: to, Gap: gap}))
	}
	refuse(t, []fault{
		{"nothing to glue to", tab(JoinEnd{}, 0), `tab "t": to is missing`, ""},
		{"a bare edge of nothing", tab(JoinEnd{Edge: &EdgeRef{}}, 0), `tab "t": to is missing`, ""},
		{"an opening", tab(ToWindow(w), 0), `tab "t": it is glued to a panel or along an edge, not to an opening`, ""},
		{"its own edge", tab(ToEdge(top), 0), `tab "t": its target front.top is the edge it hangs on`, ""},
		{"gap", tab(ToPanel(front), -1), `tab "t": gap = -1 mm is not between 0 and 100000 mm`, ""},
		{"gap NaN", tab(ToPanel(front), nan), `tab "t": gap = NaN mm is not between 0 and 100000 mm`, ""},
		{"another tree", tab(ToPanel(lone), 0),
			`tab "t": panel "front" hangs in the tree of "front" and panel "lone" in that of "lone", and nothing joins two pieces`, ""},
	})
	if len(b.design.Joins) != 0 || len(b.design.Panels) != 2 {
		t.Error("a refused tab left something in the design")
	}
}
