package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

const groupPanels = "Panels"

// panelWords are the panel and what can be asked of one.
func panelWords() []word {
	return []word{
		{
			Word: Word{
				Name: "panel", Kind: Function, Group: groupPanels,
				Units: "fold in degrees, −180 to 180; slide in mm",
				Doc: "One flat area of board. Alone it lies where its outline is drawn; with `on` it hangs on an edge of an earlier panel, and a hinge joins the two.\n" +
					"- `on`: the edge it hangs on, such as front.right. The two edges are laid together, mid-point on mid-point.\n" +
					"- `by`: the new panel's own edge. Without it left goes on right, top on bottom and the other way round, else the edge called base, else the first.\n" +
					"- `fold`: how far the hinge is folded in the finished piece: 0 flat, 90 square, 180 back on itself. Positive folds away from the viewer, toward the inside; negative toward the viewer.\n" +
					"- `line`: how the hinge is made: score, perforated, part-cut, groove (a V-groove, which turns about the outside skin instead of the middle) or plain.\n" +
					"- `slide`: how far the panel is moved to the right along the edge it hangs on.\n" +
					"- `overhang`: True for a panel that is meant to be wider than its edge, or to stick out of the closed piece.\n" +
					"- `bent`: True for a panel that is rolled, not folded. It is cut, and not shown in space.\n\n" +
					"Of panels that fold onto the same place the one made first lies innermost; the order of folding that `pose` takes says otherwise.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
side = panel("side", rect(28, 90), on = front.right)
lid = panel("lid", rect(60, 28), on = front.top, fold = 90, line = "perforated")
piece("front", front, board = card)`,
			},
			Args: `name, outline, on=None, by=None, *, fold=90, line="score", slide=0, overhang=False, bent=False`,
			run:  runPanel,
		},
		{
			Word: Word{
				Name: "panel.edge", Kind: Method, Group: groupPanels, Units: "name is a text; gives an edge",
				Doc: "The panel's edge of that name. front.edge(\"top\") and front.top are the same; the long form also takes names with dots or spaces in them, and names that a loop works out.",
				Example: `card = board("card", caliper = 0.4)
hexagon = panel("hexagon", regular(6, 40))
for i in range(6):
    panel("wall %d" % i, rect(40, 30), on = hexagon.edge("e%d" % i))
piece("tray", hexagon, board = card)`,
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
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
print(front.name)
piece("front", front, board = card)`,
			},
			get: func(_ *host, self starlark.Value) starlark.Value { return starlark.String(self.(panelValue).p.Name) },
		},
	}
}

// runPanel makes a panel, alone or on an edge of an earlier one.
func runPanel(c *call) (starlark.Value, error) {
	spec := model.PanelSpec{
		Name: c.textNeeded("name"), Outline: c.outline("outline"),
		On: c.optionalEdge("on"), By: c.text("by"), Fold: c.fold("fold"), Line: c.line("line"),
		Slide: c.length("slide"), Overhang: c.truth("overhang"), Bent: c.truth("bent"),
	}
	return c.madePanel(func() (*model.Panel, error) { return c.build.Panel(c.site, spec) })
}

// madePanel makes a panel unless the arguments were wrong already.
func (c *call) madePanel(build func() (*model.Panel, error)) (starlark.Value, error) {
	if c.fault != nil {
		return nil, c.fault
	}
	p, err := build()
	if err != nil {
		return nil, err
	}
	return panelValue{h: c.host, p: p}, nil
}

const groupEdges = "Edges"

// printing is an example that makes a front and prints a value that a script has.
func printing(value string) string {
	return `card = board("uncoated card", caliper = 0.4, gsm = 250, grain = 90)
front = panel("front", rect(60, 90))
print(` + value + `)
piece("front", front, board = card)`
}

// edgeWords are what edges have, those of outlines included.
func edgeWords() []word {
	return []word{
		{
			Word: Word{
				Name: "edge.part", Kind: Method, Group: groupEdges, Units: "a and b in mm from the edge's left end",
				Doc: "The stretch of an edge from `a` to `b`, to hang something on part of it. Left and right are as seen from the panel looking out over the edge.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
strap = panel("strap", rect(20, 40), on = front.top.part(10, 30))
piece("front", front, board = card)`,
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

// edgeFigure is an attribute of edges.
func edgeFigure(name, units, doc string, get func(edgeValue) starlark.Value) word {
	return word{
		Word: Word{Name: "edge." + name, Kind: Attribute, Group: groupEdges, Units: units, Doc: doc,
			Example: printing(`front.top.` + name)},
		get: func(_ *host, self starlark.Value) starlark.Value { return get(self.(edgeValue)) },
	}
}

// pointAt is the point a distance from the edge's left end, in mm, as a value.
func (v edgeValue) pointAt(d float64) starlark.Value {
	p := v.at(d)
	return pointValue(p.X, p.Y)
}

// runPart gives a stretch of an edge.
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

const groupWork = "Work on a panel"

// workWords are what can be done to a panel's board.
func workWords() []word {
	return []word{
		{
			Word: Word{
				Name: "panel.cut", Kind: Method, Group: groupWork, Units: "the outline is in mm, in the panel's own frame",
				Doc: "Cuts through the board. An outline opens a window: it takes all board of the blank under it, so it may cross a hinge or break the panel's rim. It gives back an opening, whose edges can carry panels. An unclosed path is a slit, which it gives back for a tuck to go through.\n" +
					"- `through`: panels that lie over this one in the closed piece and are cut too, each where it lies over the outline. Their edges carry no panels.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(circle(18).shift(30, 60))
front.cut(path(10, 20).line(50, 20))

# one hole through both layers of a header
header = panel("header", rect(60, 40), on = front.top, fold = 0)
second = panel("second layer", rect(60, 39), on = header.top, fold = 180)
glue(second, header)
header.cut(slot(30, 8).shift(30, 26), through = [second])
piece("front", front, board = card)`,
			},
			Args: "outline, through=None",
			run:  runCut,
		},
		{
			Word: Word{
				Name: "panel.score", Kind: Method, Group: groupWork, Units: "the path is in mm, in the panel's own frame",
				Doc: "Scores a line by hand, where no panel ends: an extra crease. `line` may be score, back-score, part-cut or back-part-cut; it runs on over hinges and stops at the board's rim.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.score(path(0, 45).line(60, 45), line = "back-score")
piece("front", front, board = card)`,
			},
			Args: `path, line="score"`,
			run: func(c *call) (starlark.Value, error) {
				return c.work(model.WorkSpec{Kind: model.ScoreLine, Path: c.path("path"), Line: c.line("line")})
			},
		},
		{
			Word: Word{
				Name: "panel.perforate", Kind: Method, Group: groupWork, Units: "cut and tie in mm; the path is in mm, in the panel's own frame",
				Doc: "Perforates along a path, to tear or fold there. It begins and ends with a cut; ties keep their length, and the cuts stretch a little so that they fit.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.perforate(path(0, 70).line(60, 70), cut = 4, tie = 1)
piece("front", front, board = card)`,
			},
			Args: "path, *, cut=3, tie=1",
			run: func(c *call) (starlark.Value, error) {
				return c.work(model.WorkSpec{Kind: model.Perforation, Path: c.path("path"), Cut: c.length("cut"), Tie: c.length("tie")})
			},
		},
		{
			Word: Word{
				Name: "panel.draw", Kind: Method, Group: groupWork, Units: "the path is in mm, in the panel's own frame",
				Doc: "Draws a line with a pen or in print; nothing is done to the board.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.draw(rect(40, 20).shift(10, 60))
piece("front", front, board = card)`,
			},
			Args: "path",
			run: func(c *call) (starlark.Value, error) {
				return c.work(model.WorkSpec{Kind: model.Drawn, Path: c.path("path")})
			},
		},
		{
			Word: Word{
				Name: "opening.edge", Kind: Method, Group: groupWork, Units: "name is a text; gives an edge",
				Doc: "The opening's edge of that name, to hang a panel in the hole: opening.edge(\"top\") and opening.top are the same.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
window = front.cut(rect(30, 20).shift(15, 40))
stand = panel("stand", rect(30, 15), on = window.edge("top"), fold = -30)
piece("front", front, board = card)`,
			},
			Args: "name",
			run: func(c *call) (starlark.Value, error) {
				return c.edgeNamed(c.self.(openingValue).edge(c.textNeeded("name")))
			},
		},
	}
}

// runCut opens a window, which gives an opening, or cuts a slit.
func runCut(c *call) (starlark.Value, error) {
	path, through := c.path("outline"), c.panels("through")
	if c.fault != nil {
		return nil, c.fault
	}
	p := c.self.(panelValue).p
	if !path.Closed {
		w, err := c.build.Slit(c.site, p, path, through...)
		if err != nil {
			return nil, err
		}
		return slitValue{w: w}, nil
	}
	w, err := c.build.Cut(c.site, p, path, through...)
	if err != nil {
		return nil, err
	}
	return openingValue{h: c.host, w: w}, nil
}

// work asks the builder for work on the panel the method belongs to.
func (c *call) work(s model.WorkSpec) (starlark.Value, error) {
	s.Panel = c.self.(panelValue).p
	return c.do(func() error {
		_, err := c.build.Work(c.site, s)
		return err
	})
}
