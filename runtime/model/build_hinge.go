package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// HingeSpec asks for a closing hinge between two edges.
type HingeSpec struct {
	A, B EdgeRef
	Fold *Fold    // nil for a free one toward the inside
	Line LineKind // "" for Score
	Name string   // "" for the panels' names, a|b
}

// Hinge joins two edges that already lie against each other in the flat blank,
// closing a loop. A's panel counts as the parent.
func (b *Builder) Hinge(site source.Site, s HingeSpec) (*Hinge, error) {
	c := b.named(site, "hinge", s.Name)
	if s.Name == "" {
		c.who = "hinge"
	}
	c.ownEdge(b, "the first edge", s.A)
	c.ownEdge(b, "the second edge", s.B)
	if !c.ok() {
		return nil, c.err()
	}
	h := &Hinge{
		Name: s.Name, Parent: s.A.Panel, Child: s.B.Panel, On: s.A, By: s.B,
		Closing: true, Site: site,
	}
	if h.Name == "" {
		h.Name = h.Parent.Name + "|" + h.Child.Name
		c.who = quoted("hinge", h.Name)
	}
	b.freshHingeName(c, h.Name)
	h.Fold = b.fold(c, s.Fold, Fold{Free: &Free{Side: In, Site: site}})
	h.Line = c.line(s.Line, hingeLines)
	if h.Parent == h.Child {
		c.failf("both edges belong to panel %q", h.Parent.Name)
	}
	c.sameTree(b, h.Parent, h.Child)
	c.close(b, h)
	if !c.ok() {
		return nil, c.err()
	}
	b.addHinge(h)
	return h, nil
}

// freshHingeName asks for a name that no hinge has; a panel's hinge has the
// panel's name.
func (b *Builder) freshHingeName(c *call, name string) {
	if c.text("the name", name); b.hinges[name] != nil {
		relate(c.failf("there is a hinge of that name already"), b.hinges[name].Site, "the first one").
			WithHint("tell them apart by name")
	}
}

// close finds the stretch along which the two edges lie against each other in
// the flat blank and takes it on both.
func (c *call) close(b *Builder, h *Hinge) {
	if !c.ok() {
		return
	}
	h.Lay = h.Child.Flat.Then(h.Parent.Flat.Inverse())
	on, by := h.On.Stretch(), h.By.Stretch()
	t, ok := c.against(h, on, by.Transform(h.Lay))
	if !ok {
		return
	}
	h.Curve = on.Part(t.A0, t.A1)
	from, to := fromLeft(h.On, on, t.A0, t.A1)
	byFrom, byTo := fromLeft(h.By, by, t.B1, t.B0)
	b.freeStretch(c, h.On, from, to)
	b.freeStretch(c, h.By, byFrom, byTo)
	if c.ok() {
		b.take(h, h.On, from, to)
		b.take(h, h.By, byFrom, byTo)
	}
}

// fromLeft turns two parameters of an edge's stretch into mm from the edge's
// left end.
func fromLeft(e EdgeRef, stretch geom.Curve, a, z float64) (from, to float64) {
	return e.To - stretch.Part(0, z).Length(), e.To - lengthTo(stretch, a)
}

func lengthTo(c geom.Curve, t float64) float64 {
	if t <= 0 {
		return 0
	}
	return c.Part(0, t).Length()
}

// against is the longest stretch along which two edges run within geom.SnapTolerance of
// each other and opposite ways, so that board lies on either side.
func (c *call) against(h *Hinge, on, by geom.Curve) (best geom.Intersection, ok bool) {
	alike, longest := false, 0.0
	for _, t := range geom.Intersect(on, by) {
		switch l := on.Part(t.A0, max(t.A1, t.A0)).Length(); {
		case t.IsPoint():
		case t.B0 < t.B1:
			alike = true
		case l > longest:
			best, ok, longest = t, true, l
		}
	}
	switch {
	case ok:
	case alike:
		c.failf("%s and %s lie on one another in the flat blank, with both panels on the same side", h.On, h.By)
	default:
		c.failf("%s and %s do not lie against each other in the flat blank: they are %s mm apart",
			h.On, h.By, geom.Num(gap(on, by))).
			WithHint("edges that come together only when it is folded are joined by tab(…) or meet(…)")
	}
	return best, ok
}

// gap is the larger distance from an end of the shorter edge to the other.
func gap(a, b geom.Curve) float64 {
	if a.Length() > b.Length() {
		a, b = b, a
	}
	_, p := b.Nearest(a.P)
	_, q := b.Nearest(a.Q)
	return max(p, q)
}
