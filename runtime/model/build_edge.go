package model

import (
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

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
