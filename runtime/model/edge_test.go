package model

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

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
