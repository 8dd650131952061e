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
	sameMotion(t, "lay", h.Lay, geom.Translation(60, 0), 1e-12)
	if corner.Hang == h || len(b.design.Hinges) != 4 {
		t.Error("a closing hinge took the place of a tree hinge")
	}
	// The rest of top.right, 5 mm at its upper end, is still free.
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
			rims[i] = geom.Polar(20+80*rng.Float64(), geom.Degrees(c))
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
			`hinge "top|corner": line = "back-score" is not one of score, perforated, part-cut, plain`, ""},
		{"fold", failed(b.Hinge(at(99), HingeSpec{A: e(top, "right"), B: e(corner, "left"), Fold: Degrees(nan)})),
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
