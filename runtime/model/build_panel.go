package model

import (
	"slices"
	"strings"

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
		relate(c.failf("there is a panel of that name already"), first.Site, "the first one").WithHint(ownNameHint)
	} else if h := b.hinges[name]; h != nil {
		relate(c.failf("there is a hinge of that name already"), h.Site, "the hinge").WithHint(ownNameHint)
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
	if c.takeEdges(b, p.Outline, 1); !c.ok() {
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
// Nothing changes in the builder or the panel where a fault is found.
func (c *call) hang(b *Builder, p *Panel, h *Hinge) {
	l := c.alignEdges(h)
	if !c.ok() {
		return
	}
	h.Name, h.Parent = p.Name, h.On.Panel
	h.ToParent, h.Curve = l.motion, l.curve
	b.freeStretch(c, h.On, l.from, l.to)
	if !c.ok() {
		return
	}
	p.Hang = h
	p.Flat = h.ToParent.Then(h.Parent.Flat)
	p.In = h.Parent.In
	if h.On.Window != nil {
		p.In = h.On.Window
	}
	b.hold(h, h.On, l.from, l.to)
	b.hold(h, h.By, l.byFrom, l.byTo)
}

// addHinge numbers the hinge and enters its name; it checks nothing.
func (b *Builder) addHinge(h *Hinge) {
	h.Index = len(b.design.Hinges)
	b.design.Hinges = append(b.design.Hinges, h)
	b.hinges[h.Name] = h
}

// Edge is the whole of a panel's named edge.
func (b *Builder) Edge(site source.Site, p *Panel, name string) (EdgeRef, error) {
	c := b.call(site, "edge")
	c.owns(b, "the panel", p)
	if !c.ok() {
		return EdgeRef{}, c.err()
	}
	c.who = quoted("panel", p.Name)
	return c.edge(p, nil, p.Outline, name), c.err()
}

// OpeningEdge is the whole of a window's named edge, to hang a panel in it.
func (b *Builder) OpeningEdge(site source.Site, w *Window, name string) (EdgeRef, error) {
	c := b.call(site, "edge")
	c.ownWindow(b, w)
	if !c.ok() {
		return EdgeRef{}, c.err()
	}
	c.who = quoted("the opening in panel", w.Panel.Name)
	return c.edge(w.Panel, w, w.Outline, name), c.err()
}

// edge looks a name up in an outline.
func (c *call) edge(p *Panel, w *Window, outline geom.Path, name string) EdgeRef {
	i := outline.Index(name)
	if i < 0 {
		c.failf("there is no edge %q", name).WithHint("%s", suggest(name, outline.Names()))
		return EdgeRef{}
	}
	return EdgeRef{Panel: p, Window: w, Name: name, Index: i, To: outline.Edges[i].Length()}
}

// Part is the stretch of e from from to to mm, counted from the left end of e.
func (b *Builder) Part(site source.Site, e EdgeRef, from, to float64) (EdgeRef, error) {
	c := b.call(site, "edge "+e.String())
	c.ownEdge(b, "it", e)
	c.finite("a", from)
	c.finite("b", to)
	length := e.Length()
	// The last bits of a sum of lengths are no reason to refuse it.
	if to > length && to <= length+geom.Tiny {
		to = length
	}
	switch {
	case from < 0 || to > length:
		c.failf("the part from %s to %s mm does not lie within 0 to %s mm", geom.Num(from), geom.Num(to), geom.Num(length))
	case to-from < geom.MinSize:
		c.failf("the part from %s to %s mm is empty", geom.Num(from), geom.Num(to))
	}
	if !c.ok() {
		return EdgeRef{}, c.err()
	}
	e.From, e.To = e.From+from, e.From+to
	return e, nil
}

// ownEdge asks for an edge of a panel or window of this design.
// The stretch may end up to geom.Tiny mm beyond the edge, as sums of lengths do.
func (c *call) ownEdge(b *Builder, name string, e EdgeRef) {
	if c.owns(b, name, e.Panel); !c.ok() {
		return
	}
	outline := e.Panel.Outline
	if e.Window != nil {
		if c.ownWindow(b, e.Window); !c.ok() {
			return
		}
		outline = e.Window.Outline
	}
	if e.Index < 0 || e.Index >= len(outline.Edges) || outline.Edges[e.Index].Name != e.Name {
		c.failf("%s, %s, is no edge", name, e)
	} else if !(0 <= e.From && e.From < e.To && e.To <= outline.Edges[e.Index].Length()+geom.Tiny) {
		c.failf("%s, %s, is no stretch of the edge: it runs from %s to %s mm", name, e, geom.Num(e.From), geom.Num(e.To))
	}
}

// ownWindow asks for a window of a panel of this design.
func (c *call) ownWindow(b *Builder, w *Window) {
	if w == nil {
		c.failf("the opening is missing")
		return
	}
	c.owns(b, "the opening's panel", w.Panel)
}

// byEdge is the edge a new panel hangs by: the one asked for, or by name
// across from the edge it hangs on, or "base", or the first as given.
func (c *call) byEdge(p *Panel, asked, on string) EdgeRef {
	if asked != "" {
		return c.edge(p, nil, p.Outline, asked)
	}
	for _, name := range []string{across(on), "base"} {
		if p.Outline.Index(name) >= 0 {
			return c.edge(p, nil, p.Outline, name)
		}
	}
	return c.edge(p, nil, p.Outline, p.Outline.Edges[0].Name)
}

// across is the edge name that goes with on, or "". The pieces of an edge, top
// and top.2, go with the same.
func across(on string) string {
	name, _, _ := strings.Cut(on, ".")
	switch name {
	case "left":
		return "right"
	case "right":
		return "left"
	case "top":
		return "bottom"
	case "bottom":
		return "top"
	}
	return ""
}

// Cut cuts through the panel: a closed path opens a window, which is
// returned; an open one is a slit, as by Slit, and the window is nil. Whether any board
// lies under it only the whole blank can tell.
//
// Panels of through are cut as well, where they lie over p in the closed pose:
// Finish makes the copies, for which the builder needs CloseBy, and ThroughLayer
// says which could not be made.
func (b *Builder) Cut(site source.Site, p *Panel, path geom.Path, through ...*Panel) (*Window, error) {
	if !path.Closed {
		_, err := b.Slit(site, p, path, through...)
		return nil, err
	}
	c := b.call(site, "cut")
	c.workOn(b, p)
	path = c.path(path)
	t := c.layersOf(b, p, through)
	if c.takeEdges(b, path, 1+len(through)); !c.ok() {
		return nil, c.err()
	}
	w := &Window{Panel: p, Outline: path, Through: t, Site: site}
	p.Windows = append(p.Windows, w)
	if t != nil {
		t.Window = w
		b.design.Throughs = append(b.design.Throughs, t)
	}
	return w, nil
}

// Slit cuts along an unclosed path, in p and in the panels of through as by Cut.
func (b *Builder) Slit(site source.Site, p *Panel, path geom.Path, through ...*Panel) (*Work, error) {
	c := b.call(site, "cut")
	c.workOn(b, p)
	path = c.path(path)
	if path.Closed {
		c.failf("the path is closed, and a slit is not")
	}
	t := c.layersOf(b, p, through)
	if c.takeEdges(b, path, 1+len(through)); !c.ok() {
		return nil, c.err()
	}
	w := &Work{Kind: Slit, Panel: p, Path: path, Through: t, Site: site}
	p.Works = append(p.Works, w)
	if t != nil {
		t.Slit = w
		b.design.Throughs = append(b.design.Throughs, t)
	}
	return w, nil
}

// WorkSpec asks for a score, a perforation or a drawn line on a panel.
type WorkSpec struct {
	Kind     WorkKind // not Slit, which is for Cut
	Panel    *Panel
	Path     geom.Path
	Line     LineKind // for ScoreLine; "" for Score
	Cut, Tie float64  // for Perforation
}

// Work works a path on a panel without cutting it out.
func (b *Builder) Work(site source.Site, s WorkSpec) (*Work, error) {
	c := b.call(site, s.Kind.word())
	c.workOn(b, s.Panel)
	w := &Work{Kind: s.Kind, Panel: s.Panel, Path: c.path(s.Path), Site: site}
	switch s.Kind {
	case ScoreLine:
		w.Line = c.line(s.Line, scoreLines)
	case Perforation:
		c.size("cut", s.Cut)
		c.size("tie", s.Tie)
		w.Cut, w.Tie = s.Cut, s.Tie
	case Drawn:
	default:
		c.failf("this kind of work is for Cut")
	}
	if c.takeEdges(b, w.Path, 1); !c.ok() {
		return nil, c.err()
	}
	s.Panel.Works = append(s.Panel.Works, w)
	return w, nil
}

// workOn asks for a panel to work on and names it in what follows.
func (c *call) workOn(b *Builder, p *Panel) {
	if c.owns(b, "the panel", p); c.ok() {
		c.who = quoted(c.who.what+" on panel", p.Name)
	}
}

// word is the call that asks for the kind of work.
func (k WorkKind) word() string {
	switch k {
	case ScoreLine:
		return "score"
	case Perforation:
		return "perforate"
	case Drawn:
		return "draw"
	}
	return "cut"
}
