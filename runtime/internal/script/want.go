package script

import (
	"strings"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// panel reads a panel.
func (c *call) panel(name string) *model.Panel {
	v := c.arg(name)
	if p, ok := v.(panelValue); ok {
		return p.p
	}
	f := c.wrong(name, orNone(v), aPanel)
	if e, ok := v.(edgeValue); ok && e.ref.Panel != nil {
		f.WithHint("leave out .%s to mean the panel", e.ref.Name)
	}
	return nil
}

// edge reads an edge of a panel or an opening.
func (c *call) edge(name string) model.EdgeRef { return c.edgeFrom(name, c.arg(name)) }

func (c *call) edgeFrom(name string, v starlark.Value) model.EdgeRef {
	switch v := v.(type) {
	case edgeValue:
		if v.ref.Panel == nil {
			c.failf("%s is an edge of an outline; %s is expected", name, anEdge).
				WithHint("make a panel of the outline first, and take the edge from the panel")
		}
		return v.ref
	case panelValue:
		c.wrong(name, v, anEdge).WithHint("name the edge: panel %q has %s", v.p.Name, edgeExamples(v.p.Outline))
	case openingValue:
		c.wrong(name, v, anEdge).WithHint("name the edge: it has %s", edgeExamples(v.w.Outline))
	default:
		c.wrong(name, orNone(v), anEdge).WithHint("for example front.top")
	}
	return model.EdgeRef{}
}

// edgeExamples lists an outline's edges as they are written behind a panel.
func edgeExamples(p geom.Path) string {
	names := p.Names()
	return "." + strings.Join(names[:min(len(names), mostListed)], " .")
}

// optionalEdge reads an edge that may be left out.
func (c *call) optionalEdge(name string) *model.EdgeRef {
	if c.arg(name) == nil {
		return nil
	}
	e := c.edge(name)
	return &e
}

// outline reads a closed outline.
func (c *call) outline(name string) geom.Path {
	v := c.arg(name)
	o, ok := v.(*outlineValue)
	switch {
	case !ok:
		c.wrong(name, orNone(v), anOutline).WithHint("for example rect(40, 30)")
	case !o.path.Closed:
		c.wrong(name, v, anOutline).WithHint("close the path with .close()")
	default:
		return o.path
	}
	return geom.Path{}
}

// path reads an outline or an unclosed path.
func (c *call) path(name string) geom.Path {
	v := c.arg(name)
	o, ok := v.(*outlineValue)
	if !ok {
		c.wrong(name, orNone(v), aPath).WithHint("for example circle(18) or path(0, 10).line(60, 10)")
		return geom.Path{}
	}
	if len(o.path.Edges) == 0 {
		c.failf("%s has no steps", name).WithHint("add .line(x, y) or another step")
	}
	return o.path
}

func (c *call) board(name string) *board.Board {
	v := c.arg(name)
	b, ok := v.(boardValue)
	if !ok {
		c.wrong(name, orNone(v), aBoard).WithHint(`for example card = board("card", caliper = 0.4)`)
	}
	return b.b
}

// fold reads a fold angle, nil when it is left out.
func (c *call) fold(name string) *model.Fold {
	if !c.has(name) {
		return nil
	}
	v := c.arg(name)
	if f, ok := v.(freeValue); ok {
		return model.Freely(f.f)
	}
	return model.Degrees(c.float(name, v, anAngle))
}

// line reads how a hinge is made, "" when it is left out.
func (c *call) line(name string) model.LineKind {
	if !c.has(name) {
		return ""
	}
	return model.LineKind(c.text(name))
}
