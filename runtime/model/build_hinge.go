package model

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// DefaultFold is the fold angle in degrees of a panel or flap that asks for
// none.
const DefaultFold = 90

// Degrees is a given fold angle.
func Degrees(d geom.Degrees) *Fold { return &Fold{Degrees: d} }

// Freely is a fold that takes the angle of f.
func Freely(f *Free) *Fold { return &Fold{Free: f} }

// Free makes one unknown fold angle: side is "in" or "out", near is nil or an
// angle on that side to look at first.
func (b *Builder) Free(site source.Site, side string, near *geom.Degrees) (*Free, error) {
	c := b.call(site, "free")
	c.oneOf("side", side, "in", "out")
	f := &Free{Side: In, NearDegrees: own(near), Site: site}
	if side == "out" {
		f.Side = Out
	}
	c.free(f)
	if !c.ok() {
		return nil, c.err()
	}
	b.frees[f] = f
	return f, nil
}

// free checks an unknown angle, which Go callers may have made themselves.
// near is in degrees, from 0 to 180 for a fold in and from −180 to 0 for one out.
func (c *call) free(f *Free) {
	switch {
	case f.Side == In && f.NearDegrees != nil:
		between(c, "near", *f.NearDegrees, 0, 180)
	case f.Side == Out && f.NearDegrees != nil:
		between(c, "near", *f.NearDegrees, -180, 0)
	case f.Side != In && f.Side != Out:
		c.failf("a free fold goes neither in nor out")
	}
}

// fold is the fold asked for, or dflt when there is none. Of an unknown angle
// that a Go caller made the design holds a copy, one for all hinges that share
// it.
func (b *Builder) fold(c *call, asked *Fold, dflt Fold) Fold {
	switch {
	case asked == nil:
		return dflt
	case asked.Free != nil:
		if c.free(asked.Free); c.ok() && b.frees[asked.Free] == nil {
			f := *asked.Free
			f.NearDegrees = own(f.NearDegrees)
			b.frees[asked.Free], b.frees[&f] = &f, &f
		}
		return Fold{Free: b.frees[asked.Free]}
	}
	between(c, "fold", asked.Degrees, -180, 180)
	return *asked
}

// line is the line asked for, a score when none is.
func (c *call) line(asked LineKind, of []LineKind) LineKind {
	if asked == "" {
		return Score
	}
	if !slices.Contains(of, asked) {
		words := make([]string, len(of))
		for i, l := range of {
			words[i] = string(l)
		}
		c.oneOf("line", string(asked), words...)
	}
	return asked
}

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
		c.who = subject{what: "hinge"}
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
// Both panels have their flat places already, so the hinge takes its motion from
// these; nothing is taken on either edge unless both stretches are free.
func (c *call) close(b *Builder, h *Hinge) {
	if !c.ok() {
		return
	}
	h.ToParent = h.Child.Flat.Then(h.Parent.Flat.Inverse())
	on, by := h.On.Stretch(), h.By.Stretch()
	t, ok := c.against(h, on, by.Transform(h.ToParent))
	if !ok {
		return
	}
	h.Curve = on.Part(t.A0, t.A1)
	from, to := fromLeft(h.On, on, t.A0, t.A1)
	byFrom, byTo := fromLeft(h.By, by, t.B1, t.B0)
	b.freeStretch(c, h.On, from, to)
	b.freeStretch(c, h.By, byFrom, byTo)
	if c.ok() {
		b.hold(h, h.On, from, to)
		b.hold(h, h.By, byFrom, byTo)
	}
}

// fromLeft turns two parameters of an edge's stretch into mm from the edge's
// left end.
// The stretch runs with board on its left, so its parameter grows toward the edge's
// left end as seen from that board: z > a gives the lesser length.
func fromLeft(e EdgeRef, stretch geom.Curve, a, z float64) (from, to float64) {
	return e.To - stretch.Part(0, z).Length(), e.To - lengthTo(stretch, a)
}

// lengthTo is the length in mm of c from its start to the parameter t, 0 for t ≤ 0.
func lengthTo(c geom.Curve, t float64) float64 {
	if t <= 0 {
		return 0
	}
	return c.Part(0, t).Length()
}

// against is the longest stretch along which two edges run within geom.SnapTolerance of
// each other and opposite ways, so that board lies on either side.
// By tolerance: edges that meet in points only, however many, do not lie against
// each other. Of stretches of the same length the first along on wins.
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
// In mm; what lies between the ends is not measured. It is for messages only.
func gap(a, b geom.Curve) float64 {
	if a.Length() > b.Length() {
		a, b = b, a
	}
	_, p := b.Nearest(a.P)
	_, q := b.Nearest(a.Q)
	return max(p, q)
}

// alignment is how a child's edge comes to lie along its parent's: the stretches
// that overlap, in mm from the left end of either edge as seen from its own
// board, the child's motion and the joined stretch in the parent's frame.
type alignment struct {
	from, to     float64 // on the parent's edge
	byFrom, byTo float64 // on the child's edge
	motion       geom.Isometry
	curve        geom.Curve
}

// alignEdges lays the child's edge against the stretch its parent offers: they
// run opposite ways, mid-point on mid-point, then the child moves slide mm to
// the right. The two must be of one shape where they overlap.
// By tolerance: they may part by geom.SnapTolerance, and the overlap has to be
// geom.MinSize long. slide is in mm.
func (c *call) alignEdges(h *Hinge) alignment {
	on, by := h.On.Curve(), h.By.Curve()
	length, start := h.By.To, (h.On.From+h.On.To)/2+h.Slide-h.By.To/2
	from, to := math.Max(h.On.From, start), math.Min(h.On.To, start+length)
	if to-from < geom.MinSize {
		c.failf("edge %q (%s mm) slid %s mm misses the hinge edge %s (%s mm)", h.By.Name,
			geom.Num(length), geom.Num(h.Slide), h.On, geom.Num(h.On.Length()))
		return alignment{}
	}
	// Seen from the parent the child's curve runs from left to right.
	theirs := stretch(on, from, to)
	ours := stretch(by, length-(to-start), length-(from-start)).Reverse()
	m := alignMidpoints(ours, theirs)
	if gap := apart(ours.Transform(m), theirs); gap > geom.SnapTolerance {
		c.failf("edge %q is %s, the hinge edge %s is %s: laid together they are %s mm apart",
			h.By.Name, shape(by), h.On, shape(on), geom.Num(gap))
	}
	return alignment{from, to, length - (to - start), length - (from - start), m, theirs}
}

// alignMidpoints is the motion that takes the middle of a to the middle of b with
// the same direction of travel.
// Middle is by length. The curves have to be equally long to coincide after it.
func alignMidpoints(a, b geom.Curve) geom.Isometry {
	s, t := a.ParamAt(a.Length()/2), b.ParamAt(b.Length()/2)
	return geom.Align(a.At(s), a.Tangent(s), b.At(t), b.Tangent(t))
}

// apart is how far two curves that run the same way part, measured between
// points at the same share of their lengths. Lines and arcs part most at an
// end or in the middle; on cubics sixteen points tell, as two different cubics
// have no more than nine in common (Bézout).
// In mm, by samples: three on lines and arcs, seventeen where a cubic takes part. It
// is a bound from below on how far the curves part.
func apart(a, b geom.Curve) float64 {
	n := 2
	if a.Kind == geom.Cubic || b.Kind == geom.Cubic {
		n = 16
	}
	la, lb, worst := a.Length(), b.Length(), 0.0
	for i := range n + 1 {
		f := float64(i) / float64(n)
		worst = math.Max(worst, a.At(a.ParamAt(la*f)).Dist(b.At(b.ParamAt(lb*f))))
	}
	return worst
}

// shape describes an edge's curve, directed with board on its left.
// So a counter-clockwise arc, of positive sweep, bulges out of the board.
func shape(c geom.Curve) string {
	switch {
	case c.Kind == geom.Line:
		return "a straight line"
	case c.Kind == geom.Cubic:
		return "a curve"
	case c.Sweep.Radians() > 0:
		return fmt.Sprintf("an arc of radius %s mm bulging out", geom.Num(c.R))
	}
	return fmt.Sprintf("an arc of radius %s mm curving in", geom.Num(c.R))
}

// edgeKey tells one edge of the design from all others.
type edgeKey struct {
	panel  *Panel
	window *Window
	index  int
}

// key is the same for all parts of one edge.
func (e EdgeRef) key() edgeKey { return edgeKey{e.Panel, e.Window, e.Index} }

// held is a stretch of an edge that a hinge holds, in mm from the left.
type held struct {
	from, to float64
	hinge    *Hinge
}

// insertAt is where a stretch from from goes among those on the edge, which are
// kept from left to right.
// It takes the logarithm of their number; before one that begins at the same place.
func (b *Builder) insertAt(key edgeKey, from float64) int {
	i, _ := slices.BinarySearchFunc(b.held[key], from, func(t held, from float64) int {
		if t.from < from {
			return -1
		}
		return 1
	})
	return i
}

// hold gives the stretch to the hinge.
// The stretch has to be free; the order from left to right is kept.
func (b *Builder) hold(h *Hinge, e EdgeRef, from, to float64) {
	key := e.key()
	b.held[key] = slices.Insert(b.held[key], b.insertAt(key, from), held{from, to, h})
}

// freeStretch asks that no hinge hold any of the stretch yet. Stretches are
// apart from one another, so only the two neighbours can be in the way.
// By tolerance: stretches that overlap by no more than geom.SnapTolerance count as
// side by side, as those that were measured along two curves do.
func (b *Builder) freeStretch(c *call, e EdgeRef, from, to float64) {
	on := b.held[e.key()]
	i := b.insertAt(e.key(), from)
	for _, t := range on[max(0, i-1):min(len(on), i+1)] {
		lo, hi := max(from, t.from), min(to, t.to)
		if hi-lo > geom.SnapTolerance {
			relate(c.failf("its hinge on %s overlaps that of %q by %s mm, from %s to %s mm",
				e, t.hinge.Name, geom.Num(hi-lo), geom.Num(lo), geom.Num(hi)), t.hinge.Site, "the other hinge")
			return
		}
	}
}
