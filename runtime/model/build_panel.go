package model

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// PanelWords are the words that a script reads off a panel, so that no edge
// may be called by one of them.
func PanelWords() []string { return []string{"name", "edge", "cut", "score", "perforate", "draw"} }

// PanelSpec asks for a panel. Without On it is a root, and By, Fold, Line,
// Slide and Overhang may not be given.
type PanelSpec struct {
	Name     string
	Outline  geom.Path
	On       *EdgeRef
	By       string   // "" to go by the edges' names
	Fold     *Fold    // nil for DefaultFold
	Line     LineKind // "" for Score
	Slide    float64
	Overhang bool
	Bent     bool
}

// Panel makes a panel and hangs it on its edge.
func (b *Builder) Panel(site source.Site, s PanelSpec) (*Panel, error) {
	c := b.named(site, "panel", s.Name)
	b.freshPanelName(c, s.Name)
	p := &Panel{
		Name: s.Name, Outline: c.outline(s.Outline), Flat: geom.Identity(),
		Bent: s.Bent, Over: s.Overhang, Site: site,
	}
	c.edgeNames(p.Outline)
	if s.On == nil {
		c.rootOnly(s)
		return b.addPanel(c, p, nil)
	}
	h := &Hinge{Child: p, On: *s.On, Slide: s.Slide, Site: site}
	h.Fold = b.fold(c, s.Fold, Fold{Degrees: DefaultFold})
	h.Line = c.line(s.Line, hingeLines)
	c.offset("slide", s.Slide)
	c.ownEdge(b, "on", h.On)
	if c.ok() {
		h.By = c.byEdge(p, s.By, h.On.Name)
	}
	return b.addPanel(c, p, h)
}

// rootOnly refuses what has no meaning on a panel that hangs on nothing.
func (c *call) rootOnly(s PanelSpec) {
	for _, given := range []struct {
		name string
		yes  bool
	}{
		{"by", s.By != ""}, {"fold", s.Fold != nil}, {"line", s.Line != ""},
		{"slide", s.Slide != 0}, {"overhang", s.Overhang},
	} {
		if given.yes {
			c.failf("%s is given, and the panel hangs on no edge", given.name).
				WithHint("say on which edge it hangs, as in on = front.top")
		}
	}
}

// freshPanelName asks for a panel name that neither a panel nor a hinge has.
func (b *Builder) freshPanelName(c *call, name string) {
	c.name(name)
	if first := b.panels[name]; first != nil {
		relate(c.failf("there is a panel of that name already"), first.Site, "the first one")
	} else if h := b.hinges[name]; h != nil {
		relate(c.failf("there is a hinge of that name already"), h.Site, "the hinge")
	}
}

// edgeNames asks for edge names that are none of a panel's words.
func (c *call) edgeNames(outline geom.Path) {
	for _, e := range outline.Edges {
		switch {
		case e.Name == "":
			c.failf("an edge of the outline has no name")
		case slices.Contains(PanelWords(), e.Name):
			c.failf("an edge may not be called %q, which is a word of panels", e.Name).
				WithHint("give the edge another name")
		}
	}
}

// addPanel lays the panel, hung by h unless it is a root, and takes it into
// the design.
func (b *Builder) addPanel(c *call, p *Panel, h *Hinge) (*Panel, error) {
	root := p
	c.roomForPanel(b)
	if h != nil && c.ok() {
		c.hang(b, p, h)
	}
	if c.takeEdges(b, p.Outline); !c.ok() {
		return nil, c.err()
	}
	if h != nil {
		root = b.root(h.Parent)
		b.addHinge(h)
	}
	p.Index = len(b.design.Panels)
	b.design.Panels = append(b.design.Panels, p)
	b.panels[p.Name] = p
	b.roots = append(b.roots, root)
	return p, nil
}

// hang completes the hinge and places the panel by it.
func (c *call) hang(b *Builder, p *Panel, h *Hinge) {
	l := c.layAlong(h)
	if !c.ok() {
		return
	}
	h.Name, h.Parent = p.Name, h.On.Panel
	h.Lay, h.Curve = l.motion, l.curve
	b.freeStretch(c, h.On, l.from, l.to)
	if !c.ok() {
		return
	}
	p.Hang = h
	p.Flat = h.Lay.Then(h.Parent.Flat)
	p.In = h.Parent.In
	if h.On.Window != nil {
		p.In = h.On.Window
	}
	b.take(h, h.On, l.from, l.to)
	b.take(h, h.By, l.byFrom, l.byTo)
}

func (b *Builder) addHinge(h *Hinge) {
	h.Index = len(b.design.Hinges)
	b.design.Hinges = append(b.design.Hinges, h)
	b.hinges[h.Name] = h
}
