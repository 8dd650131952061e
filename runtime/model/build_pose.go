package model

import (
	"maps"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// PoseSpec asks for another state to fold to. FoldDegrees are by hinge name.
type PoseSpec struct {
	Name        string
	FoldDegrees map[string]geom.Degrees
	At          *float64 // nil for 1
	Unglued     bool     // glue need not hold
	Order       []*Panel // panels in the order they fold; they change places among themselves
	StandsOn    *Panel   // the panel that lies on the ground in pictures; nil leaves the choice to them
	Foot        *EdgeRef // instead of StandsOn: a straight edge of a panel that stands on it
}

// Pose records a state to fold to and check. Its hinges must exist already.
func (b *Builder) Pose(site source.Site, s PoseSpec) (*Pose, error) {
	c := b.named(site, "pose", s.Name)
	c.name(s.Name)
	switch first := b.poses[s.Name]; {
	case s.Name == PoseClosed && s.completes(first):
		return b.completeClosed(c, first, s)
	case s.Name == PoseFlat || s.Name == PoseClosed:
		c.failf("the poses %q and %q always exist", PoseFlat, PoseClosed).
			WithHint("give this one another name; of %q the order of folding and the panel that it stands on can be given, once each", PoseClosed)
	case first != nil:
		relate(c.failf("there is a pose of that name already"), first.Site, "the first one").WithHint(ownNameHint)
	}
	p := &Pose{Name: s.Name, FoldDegrees: map[*Hinge]geom.Degrees{}, At: 1, Glued: !s.Unglued, Site: site}
	if s.At != nil {
		p.At = *s.At
		between(c, "at", p.At, 0, 1)
	}
	for _, name := range slices.Sorted(maps.Keys(s.FoldDegrees)) {
		h := b.hinges[name]
		if h == nil {
			c.noHinge(b, name)
			break
		}
		between(c, "the fold of "+name, s.FoldDegrees[name], -180, 180)
		p.FoldDegrees[h] = s.FoldDegrees[name]
	}
	p.Order = c.order(b, s.Order)
	p.StandsOn, p.Foot = c.standsOn(b, s), s.Foot
	if !c.ok() {
		return nil, c.err()
	}
	b.poses[p.Name] = p
	b.design.Poses = append(b.design.Poses, p)
	return p, nil
}

// completes reports whether nothing is given but what the pose "closed" can take and
// has not been given yet: the order of folding and the panel it stands on.
func (s PoseSpec) completes(closed *Pose) bool {
	orders, stands := len(s.Order) > 0, s.StandsOn != nil || s.Foot != nil
	return (orders || stands) && !(orders && closed.Order != nil) && !(stands && closed.StandsOn != nil) &&
		len(s.FoldDegrees) == 0 && (s.At == nil || *s.At == 1) && !s.Unglued
}

// completeClosed gives the pose "closed" an order of folding or a panel to stand on,
// and with it the poses that have none of their own.
func (b *Builder) completeClosed(c *call, closed *Pose, s PoseSpec) (*Pose, error) {
	order, on := c.order(b, s.Order), c.standsOn(b, s)
	if !c.ok() {
		return nil, c.err()
	}
	if len(order) > 0 {
		closed.Order = order
	}
	if on != nil {
		closed.StandsOn, closed.Foot = on, s.Foot
	}
	return closed, nil
}

// standsOn checks the panel that a pose stands on, lying or on an edge, if there is one.
func (c *call) standsOn(b *Builder, s PoseSpec) *Panel {
	p := s.StandsOn
	if s.Foot != nil {
		p = s.Foot.Panel
	}
	if p != nil {
		c.owns(b, "stands_on", p)
	}
	if s.Foot != nil && c.ok() && s.Foot.Curve().Kind != geom.Line {
		c.failf("edge %s is %s, and a piece stands on a straight edge", s.Foot, shape(s.Foot.Curve()))
	}
	return p
}

// order checks panels that are to fold one after the other.
func (c *call) order(b *Builder, panels []*Panel) []*Panel {
	for i, q := range panels {
		c.owns(b, "a panel of order", q)
		if c.ok() && slices.Contains(panels[:i], q) {
			c.failf("order names panel %q twice", q.Name)
		}
	}
	return slices.Clone(panels)
}

// noHinge says that a name in folds is no hinge's.
func (c *call) noHinge(b *Builder, name string) {
	if p := b.panels[name]; p != nil {
		relate(c.failf("panel %q hangs on nothing, so it has no hinge to fold", name), p.Site, "the panel")
		return
	}
	c.failf("no hinge is named %q", name).WithHint("%s", suggest(name, slices.Sorted(maps.Keys(b.hinges))))
}

// ToPanel is a panel as the target of a tab or a tuck.
func ToPanel(p *Panel) JoinEnd { return JoinEnd{Panel: p} }

// ToEdge is an edge as the target of a tab.
func ToEdge(e EdgeRef) JoinEnd { return JoinEnd{Panel: e.Panel, Edge: &e} }

// ToWindow is an opening as the target of a tuck.
func ToWindow(w *Window) JoinEnd { return JoinEnd{Window: w}.settled() }

// ToSlit is a slit as the target of a tuck.
func ToSlit(w *Work) JoinEnd { return JoinEnd{Slit: w}.settled() }

// settled gives an end the panel that its edge, opening or slit belongs to, and an
// edge of its own.
func (e JoinEnd) settled() JoinEnd {
	switch {
	case e.Edge != nil:
		e.Edge = own(e.Edge)
		e.Panel = e.Edge.Panel
	case e.Window != nil:
		e.Panel = e.Window.Panel
	case e.Slit != nil:
		e.Panel = e.Slit.Panel
	}
	return e
}

// Meet asks that two edges come together in the closed pose, gap mm apart.
func (b *Builder) Meet(site source.Site, x, y EdgeRef, gap float64) (*Join, error) {
	c := b.call(site, "meet")
	c.ownEdge(b, "the first edge", x)
	c.ownEdge(b, "the second edge", y)
	if c.ok() && x.key() == y.key() {
		c.failf("both edges are %s", x)
	}
	c.notNegative("gap", gap)
	return b.join(c, &Join{Kind: MeetJoin, A: ToEdge(x), B: ToEdge(y), Gap: gap})
}

// GlueSpec describes glue between two panels.
type GlueSpec struct {
	A, B    *Panel
	Outside bool       // A lies on the outside of B; else on its inside
	Area    *geom.Path // the part of A that is glued, closed, in A's frame; nil for all of it
}

// Glue asks that panel A lie on panel B, within its outline.
func (b *Builder) Glue(site source.Site, s GlueSpec) (*Join, error) {
	c := b.call(site, "glue")
	c.twoPanels(b, s.A, s.B)
	j := &Join{Kind: GlueJoin, A: ToPanel(s.A), B: ToPanel(s.B), Outside: s.Outside}
	if s.Area != nil && c.ok() {
		area := c.outline(*s.Area)
		if box := area.Bounds(); c.ok() && !box.Intersects(s.A.Outline.Bounds()) {
			c.failf("area lies beside panel %q: it reaches from x %s to %s and y %s to %s of its frame", s.A.Name,
				geom.Num(box.Min.X), geom.Num(box.Max.X), geom.Num(box.Min.Y), geom.Num(box.Max.Y))
		}
		j.Area = &area
	}
	return b.join(c, j)
}

// TuckSpec describes a panel that is pushed in and held by nothing else.
type TuckSpec struct {
	A       *Panel
	Into    JoinEnd // a panel, an opening or a slit
	Outside bool    // A lies along the outside of the panel; else along its inside
	Reach   float64 // how much of A must lie behind the panel, mm; 0 for all of it
	Locked  bool    // A is wider beyond the opening than the opening is long
}

// Tuck asks that panel A be pushed behind a panel or through an opening or a slit, in the closed
// pose.
func (b *Builder) Tuck(site source.Site, s TuckSpec) (*Join, error) {
	c := b.call(site, "tuck")
	s.Into = s.Into.settled()
	c.twoPanels(b, s.A, s.Into.Panel)
	if s.Into.Edge != nil {
		c.failf("a panel is tucked into a panel or an opening, not into an edge")
	}
	if s.Into.Slit != nil && s.Into.Slit.Kind != Slit {
		c.failf("a panel is tucked into a slit, not into a line that is scored, perforated or drawn")
	}
	c.notNegative("reach", s.Reach)
	switch {
	case s.Into.IsThrough() && (s.Reach > 0 || s.Outside):
		c.failf("reach and side are about a panel it lies along, and it goes through an opening or a slit")
	case !s.Into.IsThrough() && s.Locked:
		c.failf("locked is about an opening or a slit it goes through").WithHint("cut it and give it as into")
	}
	return b.join(c, &Join{Kind: TuckJoin, A: ToPanel(s.A), B: s.Into, Outside: s.Outside, Reach: s.Reach, Locked: s.Locked})
}

// twoPanels asks for two panels that are not one.
func (c *call) twoPanels(b *Builder, x, y *Panel) {
	c.owns(b, "the first panel", x)
	c.owns(b, "the second panel", y)
	if c.ok() && x == y {
		c.failf("both panels are %q", x.Name)
	}
}

// join records a join of two panels of one tree.
func (b *Builder) join(c *call, j *Join) (*Join, error) {
	c.sameTree(b, j.A.Panel, j.B.Panel)
	if !c.ok() {
		return nil, c.err()
	}
	j.Site = c.site
	b.addJoin(j)
	return j, nil
}

func (b *Builder) addJoin(j *Join) { b.design.Joins = append(b.design.Joins, j) }

// ContentsSpec asks for the product in the closed piece. A cylinder's size is
// its diameter twice and its height.
type ContentsSpec struct {
	Name        string
	Size        [3]float64
	Round       bool // a cylinder
	On          *Panel
	At          *geom.Point // nil for where it has most room
	TurnDegrees geom.Degrees
	Clearance   float64
	Mass        *float64 // grams
	Cautions    []string // kinds of caution asked for, of CautionKinds
}

// Contents records the product that stands on a panel.
func (b *Builder) Contents(site source.Site, s ContentsSpec) (*Contents, error) {
	c := b.named(site, "contents", s.Name)
	c.name(s.Name)
	if first := b.contents[s.Name]; first != nil {
		relate(c.failf("there are contents of that name already"), first.Site, "the first ones").WithHint(ownNameHint)
	}
	c.contentsSize(s)
	c.owns(b, "on", s.On)
	if s.At != nil {
		c.offset("at x", s.At.X)
		c.offset("at y", s.At.Y)
	}
	c.finite("turn", float64(s.TurnDegrees))
	c.notNegative("clearance", s.Clearance)
	if s.Mass != nil && !(*s.Mass > 0 && finite(*s.Mass)) {
		c.failf("mass = %.10g g is not a positive number", *s.Mass).WithHint("give what it weighs in grams, or leave mass out")
	}
	c.cautions(s.Cautions)
	if !c.ok() {
		return nil, c.err()
	}
	made := &Contents{
		Name: s.Name, Panel: s.On, Size: s.Size, Round: s.Round, At: own(s.At),
		TurnDegrees: s.TurnDegrees, Clearance: s.Clearance, Mass: own(s.Mass), Cautions: slices.Clone(s.Cautions), Site: site,
	}
	b.contents[s.Name] = made
	b.design.Contents = append(b.design.Contents, made)
	return made, nil
}

// contentsSize asks for three sizes, or a diameter and a height.
func (c *call) contentsSize(s ContentsSpec) {
	names := [3]string{"size x", "size y", "size z"}
	if s.Round {
		names = [3]string{"diameter", "diameter", "height"}
		if s.Size[0] != s.Size[1] {
			c.failf("a cylinder has one diameter, not %.10g and %.10g mm", s.Size[0], s.Size[1])
		}
	}
	for i, name := range names {
		c.size(name, s.Size[i])
	}
}
