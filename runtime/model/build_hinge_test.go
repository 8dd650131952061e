package model

import (
	"errors"
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

// window4 is four panels round one vertex: front, top above it, right beside
// it, and corner on right's top, so that corner.left lies along top.right.
func window4() (*Builder, *Panel, *Panel) {
	b, front := newFront()
	top := hung(b, "top", rect(60, 30), edge(b, front, "top"))
	right := hung(b, "right", rect(20, 40), edge(b, front, "right"))
	return b, top, hung(b, "corner", rect(20, 25), edge(b, right, "top"))
}

func TestClosingHinge(t *testing.T) {
	b, top, corner := window4()
	h := must(b.Hinge(at(5), HingeSpec{A: edge(b, top, "right"), B: edge(b, corner, "left")}))
	if h.Name != "top|corner" || !h.Closing || h.Parent != top || h.Child != corner || h.Line != Score {
		t.Errorf("hinge %+v", h)
	}
	if h.Fold.Free == nil || h.Fold.Free.Side != In {
		t.Errorf("fold %+v, want a free one toward the inside", h.Fold)
	}
	// In top's frame, directed like its right edge: upward, the lower 25 mm.
	near(t, "start", h.Curve.P, geom.Pt(60, 0), 1e-12)
	near(t, "end", h.Curve.Q, geom.Pt(60, 25), 1e-12)
	sameMotion(t, "lay", h.ToParent, geom.Translation(60, 0), 1e-12)
	if corner.Hang == h || len(b.design.Hinges) != 4 {
		t.Error("a closing hinge took the place of a tree hinge")
	}
	// The stretch of both edges is held; the rest of top.right, 5 mm at its upper
	// end, is still free.
	right, left := edge(b, top, "right"), edge(b, corner, "left")
	refuse(t, []fault{
		{"held by the parent", failed(b.Panel(at(99), PanelSpec{Name: "x", Outline: rect(5, 30), On: &right})),
			`panel "x": its hinge on top.right overlaps that of "top|corner" by 25 mm, from 5 to 30 mm`, ""},
		{"held by the child", failed(b.Panel(at(99), PanelSpec{Name: "x", Outline: rect(5, 25), On: &left})),
			`panel "x": its hinge on corner.left overlaps that of "top|corner" by 25 mm, from 0 to 25 mm`, ""},
	})
	rest := must(b.Part(nil, edge(b, top, "right"), 0, 5))
	hung(b, "more", rect(5, 5), rest)
}

// Law: four wedges that fill a full turn about a vertex close, drawn at any
// angle. Along a straight seam the hinge is as long as the shorter of the two
// edges; along an arc or a cubic it is the whole seam.
func TestClosingRoundVertex(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for round := range 300 {
		cuts := []float64{0, 60 + 60*rng.Float64(), 140 + 60*rng.Float64(), 230 + 60*rng.Float64(), 360}
		rims := make([]geom.Point, 5)
		for i, c := range cuts {
			rims[i] = geom.Polar(20+80*rng.Float64(), geom.Degrees(c).Angle())
		}
		a, z := geom.LineFrom(geom.Pt(0, 0), rims[0]), geom.LineFrom(rims[4], geom.Pt(0, 0))
		switch end := rims[0].X; round % 3 {
		case 1:
			a = must(geom.ArcSweep(geom.Pt(0, 0), rims[0], geom.Radians(0.3)))
		case 2:
			a = geom.CubicFrom(geom.Pt(0, 0), geom.Pt(end/3, 3), geom.Pt(2*end/3, -3), rims[0])
		}
		if a.Kind != geom.Line {
			rims[4], z = rims[0], a.Reverse()
		}
		h, err := fan(rng, rims, a, z)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := h.Curve.Length(), math.Min(a.Length(), z.Length()); h.Curve.Kind != a.Kind || math.Abs(got-want) > 1e-6 {
			t.Fatalf("hinge is a %s of %g mm, want %s, %g", h.Curve.Kind, got, a.Kind, want)
		}
	}
}

// fan hangs four wedges on one another round the origin, from curve a round to
// curve z, and closes them there.
func fan(rng *rand.Rand, rims []geom.Point, a, z geom.Curve) (*Hinge, error) {
	b := NewBuilder(nil)
	var panels []*Panel
	for i := range 4 {
		wedge := polygon("a rim b", geom.Pt(0, 0), rims[i], rims[i+1])
		switch i {
		case 0:
			wedge.Edges[0].Curve = a
		case 3:
			wedge.Edges[2].Curve = z
		}
		s := PanelSpec{Name: string(rune('0' + i)), Outline: wedge.Transform(randomMotion(rng))}
		if i > 0 {
			on := edge(b, panels[i-1], "b")
			s.On, s.By = &on, "a"
		}
		panels = append(panels, must(b.Panel(nil, s)))
	}
	return b.Hinge(nil, HingeSpec{A: edge(b, panels[3], "b"), B: edge(b, panels[0], "a")})
}

func TestClosingRefuses(t *testing.T) {
	b, top, corner := window4()
	front := b.panels["front"]
	lone := must(b.Panel(at(6), PanelSpec{Name: "lone", Outline: rect(60, 40)}))
	close := func(x, y EdgeRef, name string) error {
		return failed(b.Hinge(at(99), HingeSpec{A: x, B: y, Name: name}))
	}
	e := func(p *Panel, name string) EdgeRef { return edge(b, p, name) }
	refuse(t, []fault{
		{"apart", close(e(top, "top"), e(corner, "top"), ""),
			`hinge "top|corner": top.top and corner.top do not lie against each other in the flat blank: they are 20.6155 mm apart`, ""},
		{"a corner only", close(e(top, "right"), e(corner, "bottom"), ""),
			`hinge "top|corner": top.right and corner.bottom do not lie against each other in the flat blank: they are 20 mm apart`, ""},
		{"held already", close(e(front, "top"), e(top, "bottom"), "again"),
			`hinge "again": its hinge on front.top overlaps that of "top" by 60 mm, from 0 to 60 mm`, ""},
		{"one panel", close(e(top, "right"), e(top, "left"), ""), `hinge "top|top": both edges belong to panel "top"`, ""},
		{"two trees", close(e(top, "right"), e(lone, "left"), ""),
			`hinge "top|lone": panel "top" hangs in the tree of "front" and panel "lone" in that of "lone", and nothing joins two pieces`, ""},
		{"a panel's name", close(e(top, "right"), e(corner, "left"), "top"), `hinge "top": there is a hinge of that name already`, "tell them apart by name"},
		{"no edge", close(EdgeRef{}, e(corner, "left"), "x"), `hinge "x": the first edge is missing`, ""},
		{"line", failed(b.Hinge(at(99), HingeSpec{A: e(top, "right"), B: e(corner, "left"), Line: BackScore})),
			`hinge "top|corner": line = "back-score" is not one of score, perforated, part-cut, groove, plain`, ""},
		{"fold", failed(b.Hinge(at(99), HingeSpec{A: e(top, "right"), B: e(corner, "left"), Fold: Degrees(geom.Degrees(nan))})),
			`hinge "top|corner": fold = NaN is not between -180 and 180`, ""},
	})
}

// Two panels on one side of a line overlap; that is no hinge.
func TestClosingOnOneSide(t *testing.T) {
	b, front := newFront()
	top := must(b.Part(nil, edge(b, front, "top"), 0, 20))
	left := hung(b, "left", rect(20, 30), top)
	right := hung(b, "right", rect(20, 30), must(b.Part(nil, edge(b, front, "top"), 40, 60)))
	bridge := hung(b, "bridge", rect(20, 10), edge(b, left, "right"))
	// back is hung on the far side of bridge and turned to lie over it.
	back := hung(b, "back", rect(10, 30), edge(b, bridge, "right"))
	refuse(t, []fault{{"same side", failed(b.Hinge(at(99), HingeSpec{A: edge(b, back, "left"), B: edge(b, right, "left")})),
		`hinge "back|right": back.left and right.left lie on one another in the flat blank, with both panels on the same side`, ""}})
}

// Several panels may hang on one edge where their hinges do not overlap; the
// error names both, the shared length, and where the other was made.
func TestSharedEdge(t *testing.T) {
	b, front := newFront()
	top := edge(b, front, "top")
	hung(b, "b", rect(10, 5), must(b.Part(nil, top, 20, 30)))
	hung(b, "a", rect(20, 5), must(b.Part(nil, top, 0, 20)))
	hung(b, "c", rect(10, 5), must(b.Part(nil, top, 30, 60)))
	try := func(from, to float64) error {
		on := must(b.Part(nil, top, from, to))
		return failed(b.Panel(at(99), PanelSpec{Name: "d", Outline: rect(to-from, 5), On: &on}))
	}
	err := try(15, 25)
	refuse(t, []fault{
		{"over two", err, `panel "d": its hinge on front.top overlaps that of "a" by 5 mm, from 15 to 20 mm`, ""},
		{"within one", try(22, 24), `panel "d": its hinge on front.top overlaps that of "b" by 2 mm, from 22 to 24 mm`, ""},
		{"over all", try(0, 60), `panel "d": its hinge on front.top overlaps that of "a" by 20 mm, from 0 to 20 mm`, ""},
		{"end of one", try(48, 60), `panel "d": its hinge on front.top overlaps that of "c" by 2 mm, from 48 to 50 mm`, ""},
	})
	var f *diag.Finding
	if !errors.As(err, &f) || len(f.Related) != 1 || f.Related[0].Span.Line != 3 || !strings.Contains(f.Related[0].Message, "hinge") {
		t.Errorf("related spots %+v, want the other hinge's", f.Related)
	}
	if err := try(50, 60); err != nil {
		t.Errorf("the free end is refused: %v", err)
	}
}

// A child's own edge is held where it hangs, and free beyond.
func TestChildEdgeIsHeld(t *testing.T) {
	b, front := newFront()
	lid := hung(b, "lid", rect(80, 5), edge(b, front, "top"))
	bottom := edge(b, lid, "bottom")
	refuse(t, []fault{{"held", failed(b.Panel(at(99), PanelSpec{Name: "x", Outline: rect(80, 5), On: &bottom})),
		`panel "x": its hinge on lid.bottom overlaps that of "lid" by 60 mm, from 10 to 70 mm`, ""}})
	hung(b, "x", rect(10, 5), must(b.Part(nil, bottom, 0, 10)))
	hung(b, "y", rect(10, 5), must(b.Part(nil, bottom, 70, 80)))
}

// Law: of random stretches asked for in turn, just those are refused that
// overlap one already there by more than geom.SnapTolerance.
func TestSharedEdgeLaw(t *testing.T) {
	rng := rand.New(rand.NewSource(6))
	for range 50 {
		b, front := newFront()
		top, held := edge(b, front, "top"), [][2]float64{}
		for i := range 60 {
			// Whole millimetres, so that many stretches just touch.
			from := float64(rng.Intn(58))
			to := from + 1 + float64(rng.Intn(2))
			free := true
			for _, h := range held {
				free = free && min(to, h[1])-max(from, h[0]) <= geom.SnapTolerance
			}
			on := must(b.Part(nil, top, from, to))
			_, err := b.Panel(nil, PanelSpec{Name: fmt.Sprint(i), Outline: rect(to-from, 5), On: &on})
			if (err == nil) != free {
				t.Fatalf("%g to %g among %v: %v", from, to, held, err)
			}
			if free {
				held = append(held, [2]float64{from, to})
			}
		}
	}
}

// Where a 10 × 6 mm child comes to lie on each edge of the 60 × 40 front, slid
// 5 mm to the right as seen looking out over that edge: worked out by hand.
func TestSlideGoesRight(t *testing.T) {
	for _, c := range []struct {
		on     string
		centre geom.Point // of the child, in the blank
	}{
		{"top", geom.Pt(35, 43)},
		{"bottom", geom.Pt(25, -3)},
		{"right", geom.Pt(63, 15)},
		{"left", geom.Pt(-3, 25)},
	} {
		b, front := newFront()
		on := edge(b, front, c.on)
		p := must(b.Panel(at(2), PanelSpec{Name: "p", Outline: rect(10, 6), On: &on, By: "bottom", Slide: 5}))
		near(t, "child on "+c.on, p.Flat.Apply(geom.Pt(5, 3)), c.centre, 1e-12)
	}
}

// The same on the edges of an opening, in which the child hangs.
func TestSlideInOpening(t *testing.T) {
	for _, c := range []struct {
		on     string
		centre geom.Point
	}{
		{"top", geom.Pt(25, 29)},
		{"bottom", geom.Pt(35, 11)},
		{"right", geom.Pt(49, 25)},
		{"left", geom.Pt(11, 15)},
	} {
		b, front := newFront()
		w := must(b.Cut(at(2), front, rectAt(10, 10, 40, 20)))
		on := must(b.OpeningEdge(nil, w, c.on))
		p := must(b.Panel(at(3), PanelSpec{Name: "p", Outline: rect(6, 2), On: &on, By: "bottom", Slide: 5}))
		near(t, "child on opening "+c.on, p.Flat.Apply(geom.Pt(3, 1)), c.centre, 1e-12)
		if p.In != w {
			t.Errorf("the child on %s does not hang in its window", c.on)
		}
		q := hung(b, "q", rect(6, 2), edge(b, p, "top"))
		if q.In != w {
			t.Errorf("the child's child on %s does not hang in the window", c.on)
		}
	}
}

// A hinge is the overlap of the two edges, and the part's when hung on one.
func TestHingeStretch(t *testing.T) {
	for _, c := range []struct {
		name        string
		width       float64
		from, to    float64 // the part of front.top; all of it when both are 0
		slide       float64
		left, right float64 // of the hinge, x in the blank
	}{
		{"as wide", 60, 0, 0, 0, 0, 60},
		{"narrower", 20, 0, 0, 0, 20, 40},
		{"wider", 80, 0, 0, 0, 0, 60},
		{"slid off", 20, 0, 0, 25, 45, 60},
		{"on a part", 20, 10, 50, 0, 20, 40},
		{"wider than the part", 60, 10, 30, 0, 10, 30},
		{"slid off the part", 20, 10, 30, -8, 10, 22},
	} {
		b, front := newFront()
		on := edge(b, front, "top")
		if c.to > 0 {
			on = must(b.Part(nil, on, c.from, c.to))
		}
		p := must(b.Panel(at(2), PanelSpec{Name: "p", Outline: rect(c.width, 6), On: &on, By: "bottom", Slide: c.slide}))
		near(t, c.name+", left end", p.Hang.Curve.Q, geom.Pt(c.left, 40), 1e-12)
		near(t, c.name+", right end", p.Hang.Curve.P, geom.Pt(c.right, 40), 1e-12)
		mid := 30.0
		if c.to > 0 {
			mid = (c.from + c.to) / 2
		}
		near(t, c.name+", child's corner", p.Flat.Apply(geom.Pt(0, 0)), geom.Pt(mid+c.slide-c.width/2, 40), 1e-12)
	}
}

// Which edge a new panel hangs by, when it does not say.
func TestByEdge(t *testing.T) {
	named := polygon("a base left bottom", geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10), geom.Pt(0, 10))
	plain := polygon("a b c d", geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 10), geom.Pt(0, 10))
	for _, c := range []struct {
		on      string
		outline geom.Path
		want    string
	}{
		{"left", rect(10, 10), "right"}, {"right", rect(10, 10), "left"},
		{"top", rect(10, 10), "bottom"}, {"bottom", rect(10, 10), "top"},
		{"right", named, "left"}, {"top", named, "bottom"},
		{"left", named, "base"}, {"bottom", named, "base"},
		{"left", plain, "a"}, {"left", plain.Reverse(), "a"},
	} {
		b, front := newFront()
		if p := hung(b, "p", c.outline, edge(b, front, c.on)); p.Hang.By.Name != c.want {
			t.Errorf("%v on %s hangs by %s, want %s", c.outline.Names(), c.on, p.Hang.By.Name, c.want)
		}
	}
}

// Arcs and curves hang on edges of their own shape only: a bulging half circle
// fits into a hollow one of the same radius.
func TestBentEdges(t *testing.T) {
	b := NewBuilder(nil)
	front := must(b.Panel(at(1), PanelSpec{Name: "front", Outline: dome(60, 40, false)}))
	top, site := edge(b, front, "top"), at(99)
	try := func(outline geom.Path) error {
		return failed(b.Panel(site, PanelSpec{Name: "lid", Outline: outline, On: &top, By: "top"}))
	}
	refuse(t, []fault{
		{"line on arc", failed(b.Panel(site, PanelSpec{Name: "lid", Outline: rect(60, 50), On: &top, By: "top"})),
			`panel "lid": edge "top" is a straight line, the hinge edge front.top is an arc of radius 30 mm bulging out: laid together they are 14.5879 mm apart`, ""},
		{"bulge on bulge", try(dome(60, 40, false)),
			`panel "lid": edge "top" is an arc of radius 30 mm bulging out, the hinge edge front.top is an arc of radius 30 mm bulging out: laid together they are 60 mm apart`, ""},
		{"another radius", try(dome(59, 40, true)),
			`panel "lid": edge "top" is an arc of radius 29.5 mm curving in, the hinge edge front.top is an arc of radius 30 mm bulging out: laid together they are 0.5668 mm apart`, ""},
	})
	lid := must(b.Panel(at(2), PanelSpec{Name: "lid", Outline: dome(60, 40, true), On: &top, By: "top"}))
	if c := lid.Hang.Curve; c.Kind != geom.Arc || math.Abs(c.Length()-30*math.Pi) > 1e-9 {
		t.Errorf("the hinge is a %s of %g mm", c.Kind, c.Length())
	}
	near(t, "lid's foot", lid.Flat.Apply(geom.Pt(30, 0)), geom.Pt(30, 80), 1e-9)
}

// Edges laid together may stray by the snap tolerance and no more: a half circle of
// a radius 0.002 mm larger strays by about that much, of 0.0002 mm by a tenth of
// the tolerance or two.
func TestHowFarHungEdgesMayStray(t *testing.T) {
	for width, fits := range map[float64]bool{60: true, 60.0004: true, 60.008: false, 60.02: false} {
		b := NewBuilder(nil)
		top := edge(b, must(b.Panel(at(1), PanelSpec{Name: "front", Outline: dome(60, 40, false)})), "top")
		if _, err := b.Panel(at(2), PanelSpec{Name: "lid", Outline: dome(width, 40, true), On: &top, By: "top"}); (err == nil) != fits {
			t.Errorf("%g mm wide: %v", width, err)
		}
	}
}

// Law: slid along an arc, a child turns about the arc's centre, and the hinge
// is shorter by the slide.
func TestSlideAlongArc(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	for range 200 {
		b := NewBuilder(nil)
		r, slide := 5+rng.Float64()*50, rng.Float64()*4-2
		front := must(b.Panel(nil, PanelSpec{Name: "front", Outline: dome(2*r, 70, false)}))
		on := edge(b, front, "top")
		lid := must(b.Panel(nil, PanelSpec{Name: "lid", Outline: dome(2*r, 70, true), On: &on, By: "top", Slide: slide}))
		near(t, "centre", lid.Flat.Apply(geom.Pt(r, 70)), geom.Pt(r, 70), 1e-9)
		if got, want := lid.Hang.Curve.Length(), math.Pi*r-math.Abs(slide); math.Abs(got-want) > 1e-9 {
			t.Fatalf("hinge is %g mm, want %g", got, want)
		}
		// To the right is clockwise round the top of the dome.
		turned := geom.Rotation(geom.Radians(-slide/r), geom.Pt(0, 0)).ApplyDir(geom.Pt(-1, 0))
		near(t, "turn", lid.Flat.ApplyDir(geom.Pt(1, 0)), turned, 1e-9)
	}
}

// A child whose edge is a piece of a cubic hangs on that very piece, and on no
// other.
func TestPartOfCubic(t *testing.T) {
	b := NewBuilder(nil)
	outline := rect(60, 40)
	outline.Edges[2].Curve = geom.CubicFrom(geom.Pt(60, 40), geom.Pt(50, 65), geom.Pt(20, 30), geom.Pt(0, 40))
	front := must(b.Panel(nil, PanelSpec{Name: "front", Outline: outline}))
	part := must(b.Part(nil, edge(b, front, "top"), 10, 35))
	c := part.Stretch().Reverse()
	shape := geom.Path{Closed: true, Edges: []geom.Edge{
		{Name: "by", Curve: c},
		{Name: "right", Curve: geom.LineFrom(c.Q, c.Q.Add(geom.Pt(0, 20)))},
		{Name: "top", Curve: geom.LineFrom(c.Q.Add(geom.Pt(0, 20)), c.P.Add(geom.Pt(0, 20)))},
		{Name: "left", Curve: geom.LineFrom(c.P.Add(geom.Pt(0, 20)), c.P)},
	}}
	turned := shape.Transform(geom.Rotation(geom.Radians(1), geom.Pt(5, 5)))
	lid := must(b.Panel(nil, PanelSpec{Name: "lid", Outline: turned, On: &part, By: "by"}))
	sameMotion(t, "lid", lid.Flat, geom.Rotation(geom.Radians(-1), geom.Pt(5, 5)), 1e-7)
	if h := lid.Hang; h.Curve.Kind != geom.Cubic || math.Abs(h.Curve.Length()-25) > 1e-8 {
		t.Errorf("the hinge is a %s of %g mm", h.Curve.Kind, h.Curve.Length())
	}
	wrong := must(b.Part(nil, edge(b, front, "top"), 36, 61))
	_, err := b.Panel(nil, PanelSpec{Name: "x", Outline: turned, On: &wrong, By: "by"})
	if err == nil || !strings.Contains(err.Error(), `edge "by" is a curve, the hinge edge front.top is a curve: laid together`) {
		t.Errorf("another piece of the curve: %v", err)
	}
}

func TestNoOverlap(t *testing.T) {
	b, front := newFront()
	top := edge(b, front, "top")
	refuse(t, []fault{
		{"slid away", failed(b.Panel(at(99), PanelSpec{Name: "lid", Outline: rect(20, 5), On: &top, Slide: 40})),
			`panel "lid": edge "bottom" (20 mm) slid 40 mm misses the hinge edge front.top (60 mm)`, ""},
	})
	if len(b.design.Panels) != 1 || len(b.design.Hinges) != 0 {
		t.Error("a refused panel stayed in the design")
	}
}

// Laws of placement on random trees of lines, arcs and curves: a hinge lies on
// its child's edge as seen in the blank; a child's place is rigid and never
// mirrored; turning the root's drawing turns the whole blank and no more.
func TestPlacementLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	worst := 0.0
	for range 60 {
		plan := randomTree(rng, 2+rng.Intn(60))
		panels := plan.build(geom.Identity())
		m := randomMotion(rng)
		for i, q := range plan.build(m) {
			p := panels[i]
			if i > 0 {
				sameMotion(t, "turned root", q.Flat, p.Flat.Then(m), 1e-8)
				worst = math.Max(worst, hingeGap(p.Hang))
			} else if q.Flat != geom.Identity() {
				t.Fatalf("the root lies at %v", q.Flat)
			}
			f := p.Flat
			if e := math.Abs(f.A*f.A+f.B*f.B-1) + math.Abs(f.A-f.D) + math.Abs(f.B+f.C); e > 1e-12 {
				t.Fatalf("panel %d: %v is off a rigid motion by %g", i, f, e)
			}
		}
	}
	if worst > 1e-9 {
		t.Errorf("a hinge lies %g mm off its child's edge", worst)
	}
}

// hingeGap is how far the hinge's ends and middle lie off the child's edge, and
// the child's side of the line off the right.
func hingeGap(h *Hinge) float64 {
	on, by := h.Curve.Transform(h.Parent.Flat), h.By.Curve().Transform(h.Child.Flat)
	worst := 0.0
	for _, f := range []float64{0, 0.5, 1} {
		s, d := by.Nearest(on.At(f))
		worst = math.Max(worst, d)
		if on.Tangent(f).Dot(by.Tangent(s)) > 0 {
			worst = math.Inf(1) // both boards on one side
		}
	}
	return worst
}

// Law: along a chain of a thousand hinges nothing drifts; a regular polygon's
// worth of equal turns comes home after every round.
func TestLongChain(t *testing.T) {
	b := NewBuilder(nil)
	// A wedge whose right edge leans by 1°: 360 of them come full circle.
	c := geom.Pt(0, 0)
	wedge := polygon("left outer right inner", geom.Polar(100, geom.Radians(0)), geom.Polar(200, geom.Radians(0)),
		geom.Polar(200, geom.Degrees(1).Angle()), geom.Polar(100, geom.Degrees(1).Angle()))
	p := must(b.Panel(nil, PanelSpec{Name: "0", Outline: wedge}))
	for i := 1; i <= 1080; i++ {
		p = hung(b, fmt.Sprint(i), wedge, edge(b, p, "right"))
		near(t, "the wedge's centre", p.Flat.Apply(c), c, 1e-9)
	}
	sameMotion(t, "three rounds", p.Flat, geom.Identity(), 1e-9)
}

// The pieces into which a notch cuts an edge hang panels as the whole one did:
// by the edge across.
func TestPiecesOfAnEdgeGoByItsName(t *testing.T) {
	b := NewBuilder(nil)
	notched := must(geom.Polygon([]geom.Point{
		geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 10), geom.Pt(50, 10), geom.Pt(50, 30), geom.Pt(60, 30), geom.Pt(60, 40), geom.Pt(0, 40),
	}, []string{"bottom", "right", "n1", "n2", "n3", "right.2", "top", "left"}))
	front := must(b.Panel(at(1), PanelSpec{Name: "front", Outline: notched}))
	lower := hung(b, "lower", rect(20, 10), edge(b, front, "right"))
	upper := hung(b, "upper", rect(20, 10), edge(b, front, "right.2"))
	for _, c := range []struct {
		panel *Panel
		want  geom.Isometry
	}{{lower, geom.Translation(60, 0)}, {upper, geom.Translation(60, 30)}} {
		if c.panel.Hang.By.Name != "left" || c.panel.Flat.Apply(geom.Pt(20, 10)).Dist(c.want.Apply(geom.Pt(20, 10))) > 1e-9 {
			t.Errorf("%s hangs by %s at %v", c.panel.Name, c.panel.Hang.By.Name, c.panel.Flat)
		}
	}
}
