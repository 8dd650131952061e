package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Cut cuts through the panel: a closed path opens a window, which is
// returned; an open one is a slit, and the window is nil. Whether any board
// lies under it only the whole blank can tell.
func (b *Builder) Cut(site source.Site, p *Panel, path geom.Path) (*Window, error) {
	c := b.call(site, "cut")
	c.workOn(b, p)
	path = c.path(path)
	if c.takeEdges(b, path); !c.ok() {
		return nil, c.err()
	}
	if !path.Closed {
		p.Works = append(p.Works, &Work{Kind: Slit, Panel: p, Path: path, Site: site})
		return nil, nil
	}
	w := &Window{Panel: p, Outline: path, Site: site}
	p.Windows = append(p.Windows, w)
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
	if c.takeEdges(b, w.Path); !c.ok() {
		return nil, c.err()
	}
	s.Panel.Works = append(s.Panel.Works, w)
	return w, nil
}

// workOn asks for a panel to work on and names it in what follows.
func (c *call) workOn(b *Builder, p *Panel) {
	if c.owns(b, "the panel", p); c.ok() {
		c.who = quoted(c.who+" on panel", p.Name)
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
