package model

import (
	"github.com/creasewright/creasewright/runtime/source"
)

// ToPanel is a panel as the target of a tab or a tuck.
func ToPanel(p *Panel) JoinEnd { return JoinEnd{Panel: p} }

// ToEdge is an edge as the target of a tab.
func ToEdge(e EdgeRef) JoinEnd { return JoinEnd{Panel: e.Panel, Edge: &e} }

// ToWindow is an opening as the target of a tuck.
func ToWindow(w *Window) JoinEnd { return JoinEnd{Window: w}.settled() }

// settled gives an end the panel that its edge or opening belongs to, and an
// edge of its own.
func (e JoinEnd) settled() JoinEnd {
	switch {
	case e.Edge != nil:
		e.Edge = own(e.Edge)
		e.Panel = e.Edge.Panel
	case e.Window != nil:
		e.Panel = e.Window.Panel
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

// Glue asks that panel x lie on panel y, within its outline.
func (b *Builder) Glue(site source.Site, x, y *Panel) (*Join, error) {
	c := b.call(site, "glue")
	c.twoPanels(b, x, y)
	return b.join(c, &Join{Kind: GlueJoin, A: ToPanel(x), B: ToPanel(y)})
}

// Tuck asks that panel x be pushed into a panel or an opening, in the closed
// pose.
func (b *Builder) Tuck(site source.Site, x *Panel, into JoinEnd) (*Join, error) {
	c := b.call(site, "tuck")
	into = into.settled()
	c.twoPanels(b, x, into.Panel)
	if into.Edge != nil {
		c.failf("a panel is tucked into a panel or an opening, not into an edge")
	}
	return b.join(c, &Join{Kind: TuckJoin, A: ToPanel(x), B: into})
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
