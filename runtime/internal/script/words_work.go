package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/model"
)

const groupWork = "Work on a panel"

func workWords() []word {
	return []word{
		{
			Word: Word{
				Name: "panel.cut", Kind: Method, Group: groupWork, Units: "the outline is in mm, in the panel's own frame",
				Doc: "Cuts through the board. An outline opens a window: it takes all board of the blank under it, so it may cross a hinge or break the panel's rim, and it gives back an opening whose edges can carry panels. " +
					"An unclosed path is a slit.",
				Example: `front = panel("front", rect(60, 90))
window = front.cut(circle(18).shift(30, 60))
front.cut(path(10, 20).line(50, 20))`,
			},
			Args: "outline",
			run:  runCut,
		},
		{
			Word: Word{
				Name: "panel.score", Kind: Method, Group: groupWork, Units: "the path is in mm, in the panel's own frame",
				Doc: "Scores a line by hand, where no panel ends: an extra crease. `line` may be score, back-score, part-cut or back-part-cut; it runs on over hinges and stops at the board's rim.",
				Example: `front = panel("front", rect(60, 90))
front.score(path(0, 45).line(60, 45), line = "back-score")`,
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
				Example: `front = panel("front", rect(60, 90))
front.perforate(path(0, 70).line(60, 70), cut = 4, tie = 1)`,
			},
			Args: "path, cut=3, tie=1",
			run: func(c *call) (starlark.Value, error) {
				return c.work(model.WorkSpec{Kind: model.Perforation, Path: c.path("path"), Cut: c.length("cut"), Tie: c.length("tie")})
			},
		},
		{
			Word: Word{
				Name: "panel.draw", Kind: Method, Group: groupWork, Units: "the path is in mm, in the panel's own frame",
				Doc: "Draws a line with a pen or in print; nothing is done to the board.",
				Example: `front = panel("front", rect(60, 90))
front.draw(rect(40, 20).shift(10, 60))`,
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
				Example: `front = panel("front", rect(60, 90))
window = front.cut(rect(30, 20).shift(15, 40))
stand = panel("stand", rect(30, 15), on = window.edge("top"), fold = -30)`,
			},
			Args: "name",
			run: func(c *call) (starlark.Value, error) {
				return c.edgeNamed(c.self.(openingValue).edge(c.textNeeded("name")))
			},
		},
	}
}

func runCut(c *call) (starlark.Value, error) {
	path := c.path("outline")
	if c.fault != nil {
		return nil, c.fault
	}
	w, err := c.build.Cut(c.site, c.self.(panelValue).p, path)
	switch {
	case err != nil:
		return nil, err
	case w == nil:
		return starlark.None, nil
	}
	return openingValue{h: c.host, w: w}, nil
}

// work asks the builder for work on the panel the method belongs to.
func (c *call) work(s model.WorkSpec) (starlark.Value, error) {
	if c.fault != nil {
		return nil, c.fault
	}
	s.Panel = c.self.(panelValue).p
	_, err := c.build.Work(c.site, s)
	return starlark.None, err
}
