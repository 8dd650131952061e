package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

const groupPanels = "Panels"

func panelWords() []word {
	return []word{
		{
			Word: Word{
				Name: "panel", Kind: Function, Group: groupPanels,
				Units: "fold in degrees, −180 to 180; slide in mm",
				Doc: "One flat area of board. On its own it lies where its outline is drawn. Given an edge of an earlier panel as `on`, it hangs there: the two edges are laid together as a hinge, mid-point on mid-point, " +
					"then moved `slide` to the right. `by` names the new panel's own edge; without it left goes on right, top on bottom and the other way round, else the edge called base, else the first. " +
					"`fold` is how far the hinge is folded in the finished piece: 0 flat, 90 square, 180 back on itself, positive away from the viewer. " +
					"`line` is how the hinge is made: score, perforated, part-cut or plain. `overhang` allows the panel to be wider than its edge; `bent` marks a panel that is rolled, not folded. " +
					"Of panels that fold onto the same place the one made first lies outermost.",
				Example: `front = panel("front", rect(60, 90))
side = panel("side", rect(28, 90), on = front.right)
lid = panel("lid", rect(60, 28), on = front.top, fold = 90, line = "perforated")`,
			},
			Args: `name, outline, on=None, by=None, fold=90, line="score", slide=0, overhang=False, bent=False`,
			run:  runPanel,
		},
		{
			Word: Word{
				Name: "panel.edge", Kind: Method, Group: groupPanels, Units: "name is a text; gives an edge",
				Doc: "The panel's edge of that name. front.edge(\"top\") and front.top are the same; the long form also takes names with dots or spaces in them, and names that a loop works out.",
				Example: `hex = panel("hex", regular(6, 40))
walls = [panel("wall %d" % i, rect(40, 90), on = hex.edge("e%d" % i)) for i in range(6)]`,
			},
			Args: "name",
			run: func(c *call) (starlark.Value, error) {
				return c.edgeNamed(c.self.(panelValue).edge(c.textNeeded("name")))
			},
		},
		{
			Word: Word{
				Name: "panel.name", Kind: Attribute, Group: groupPanels, Units: "a text",
				Doc: "The name the panel was given.",
				Example: `front = panel("front", rect(60, 90))
print(front.name)`,
			},
			get: func(_ *host, self starlark.Value) starlark.Value { return starlark.String(self.(panelValue).p.Name) },
		},
	}
}

func runPanel(c *call) (starlark.Value, error) {
	spec := model.PanelSpec{
		Name: c.textNeeded("name"), Outline: c.outline("outline"),
		On: c.optionalEdge("on"), By: c.text("by"), Fold: c.fold("fold"), Line: c.line("line"),
		Slide: c.length("slide"), Overhang: c.truth("overhang"), Bent: c.truth("bent"),
	}
	if c.fault != nil {
		return nil, c.fault
	}
	return c.madePanel(c.build.Panel(c.site, spec))
}

func (c *call) madePanel(p *model.Panel, err error) (starlark.Value, error) {
	if err != nil {
		return nil, err
	}
	return panelValue{h: c.host, p: p}, nil
}

const (
	groupEdges = "Edges"
	frontTop   = `front = panel("front", rect(60, 90))
`
)

func edgeWords() []word {
	return []word{
		{
			Word: Word{
				Name: "edge.part", Kind: Method, Group: groupEdges, Units: "a and b in mm from the edge's left end",
				Doc: "The stretch of an edge from `a` to `b`, to hang something on part of it. Left and right are as seen from the panel looking out over the edge.",
				Example: `front = panel("front", rect(60, 90))
strap = panel("strap", rect(20, 40), on = front.top.part(10, 30))`,
			},
			Args: "a, b",
			run:  runPart,
		},
		edgeFigure("length", "mm", "How long the edge, or the stretch of it, is.",
			func(v edgeValue) starlark.Value { return starlark.Float(v.ref.Length()) }),
		edgeFigure("name", "a text", "The edge's own name, such as top.",
			func(v edgeValue) starlark.Value { return starlark.String(v.ref.Name) }),
		edgeFigure("panel", "a panel", "The panel the edge belongs to, None while its outline is no panel yet.",
			func(v edgeValue) starlark.Value {
				if v.ref.Panel == nil {
					return starlark.None
				}
				return panelValue{h: v.h, p: v.ref.Panel}
			}),
		edgeFigure("start", "a point (x, y) in mm, in the panel's own frame", "The left end of the edge, seen from the panel looking out over it.",
			func(v edgeValue) starlark.Value { return v.pointAt(v.ref.From) }),
		edgeFigure("end", "a point (x, y) in mm, in the panel's own frame", "The right end of the edge, seen from the panel looking out over it.",
			func(v edgeValue) starlark.Value { return v.pointAt(v.ref.To) }),
	}
}

func edgeFigure(name, units, doc string, get func(edgeValue) starlark.Value) word {
	return word{
		Word: Word{Name: "edge." + name, Kind: Attribute, Group: groupEdges, Units: units, Doc: doc,
			Example: frontTop + `print(front.top.` + name + `)`},
		get: func(_ *host, self starlark.Value) starlark.Value { return get(self.(edgeValue)) },
	}
}

func (v edgeValue) pointAt(d float64) starlark.Value {
	p := v.at(d)
	return pointValue(p.X, p.Y)
}

func runPart(c *call) (starlark.Value, error) {
	e := c.self.(edgeValue)
	a, b := c.length("a"), c.length("b")
	if c.fault != nil {
		return nil, c.fault
	}
	if e.ref.Panel == nil {
		return c.outlinePart(e, a, b)
	}
	ref, err := c.build.Part(c.site, e.ref, a, b)
	if err != nil {
		return nil, err
	}
	return edgeValue{h: c.host, ref: ref, curve: e.curve}, nil
}

// outlinePart is part of an edge that no panel owns, which the builder does
// not know.
func (c *call) outlinePart(e edgeValue, a, b float64) (starlark.Value, error) {
	if !(a >= 0 && a < b && b <= e.ref.Length()+geom.SnapTolerance) {
		c.failf("%s to %s mm is not a stretch of an edge of %s mm", geom.Num(a), geom.Num(b), geom.Num(e.ref.Length()))
	}
	e.ref.From, e.ref.To = e.ref.From+a, min(e.ref.From+b, e.ref.To)
	return e, nil
}

// edgeNamed gives an edge that was looked up by name, or the fault of its not
// being there.
func (c *call) edgeNamed(e edgeValue, fault *diag.Finding) (starlark.Value, error) {
	if c.fault == nil && fault != nil {
		fault.Site = c.site
		c.fault = fault
	}
	return e, nil
}
