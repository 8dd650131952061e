package script

import (
	"fmt"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

const groupShapes = "Working on outlines"

// shapeWords are what outlines can do; those marked Open unclosed paths can
// do too.
func shapeWords() []word {
	return []word{
		{
			Word: Word{
				Name: "outline.shift", Kind: Method, Group: groupShapes, Units: "dx and dy in mm",
				Doc:     "The same outline moved `dx` to the right and `dy` up.",
				Example: `hole = circle(18).shift(30, 45)`,
			},
			Args: "dx, dy", Open: true,
			run: func(c *call) (starlark.Value, error) {
				return c.moved(geom.Translation(c.length("dx"), c.length("dy")))
			},
		},
		{
			Word: Word{
				Name: "outline.turn", Kind: Method, Group: groupShapes, Units: "angle in degrees; about is a point (x, y) in mm",
				Doc:     "The same outline turned by an angle, positive to the left, about a point.",
				Example: `diamond = rect(20, 20).turn(45, about = (10, 10))`,
			},
			Args: "angle, about=(0, 0)", Open: true,
			run: func(c *call) (starlark.Value, error) {
				about := geom.Point{}
				if c.has("about") {
					about = c.point("about")
				}
				return c.moved(geom.Rotation(geom.Degrees(c.angle("angle")), about))
			},
		},
		{
			Word: Word{
				Name: "outline.flip", Kind: Method, Group: groupShapes, Units: "axis is \"x\" or \"y\"",
				Doc:     "The mirror image: \"x\" swaps left and right by negating x, \"y\" swaps top and bottom by negating y. Edges keep their names.",
				Example: `hook = path(0, 0).line(20, 0).line(20, 10).close().flip("x")`,
			},
			Args: "axis", Open: true,
			run: runFlip,
		},
		{
			Word: Word{
				Name: "outline.round", Kind: Method, Group: groupShapes, Units: "r in mm; corners are pairs of edge names",
				Doc:     "The outline with corners rounded by arcs of radius `r` that run on smoothly from both edges: all corners, or those listed. A new arc is named by its neighbours, as right-top.",
				Example: `lid = panel("lid", rect(60, 28).round(5, corners = [("right", "top"), ("top", "left")]))`,
			},
			Args: "r, corners=None", Open: true,
			run: func(c *call) (starlark.Value, error) {
				r, corners := c.length("r"), c.corners("corners")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Round(r, corners) })
			},
		},
		{
			Word: Word{
				Name: "outline.chamfer", Kind: Method, Group: groupShapes, Units: "d in mm from the corner; corners are pairs of edge names",
				Doc:     "The outline with corners cut off straight, `d` along either edge: all corners, or those listed. A new edge is named by its neighbours, as right-top.",
				Example: `lid = panel("lid", rect(60, 28).chamfer(4, corners = [("right", "top")]))`,
			},
			Args: "d, corners=None", Open: true,
			run: func(c *call) (starlark.Value, error) {
				d, corners := c.length("d"), c.corners("corners")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Chamfer(d, corners) })
			},
		},
		{
			Word: Word{
				Name: "outline.grow", Kind: Method, Group: groupShapes, Units: "d in mm",
				Doc:     "The outline with its whole rim moved out by `d`, or in when `d` is negative. Sharp corners stay sharp and arcs stay arcs.",
				Example: `window = rect(60, 90).grow(-8)`,
			},
			Args: "d",
			run: func(c *call) (starlark.Value, error) {
				d := c.length("d")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return region.Grow(p, d) })
			},
		},
		{
			Word: Word{
				Name: "outline.plus", Kind: Method, Group: groupShapes, Units: "other is an outline",
				Doc:     "What this outline and the other cover together. One outline without holes must come out of it.",
				Example: `tag = rect(40, 60).plus(circle(40).shift(20, 60))`,
			},
			Args: "other",
			run: func(c *call) (starlark.Value, error) {
				other := c.outline("other")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return region.Plus(p, other) })
			},
		},
		{
			Word: Word{
				Name: "outline.minus", Kind: Method, Group: groupShapes, Units: "other is an outline",
				Doc:     "What is left of this outline when the other is taken away. One outline without holes must remain.",
				Example: `tray = rect(60, 40).minus(circle(20).shift(30, 40))`,
			},
			Args: "other",
			run: func(c *call) (starlark.Value, error) {
				other := c.outline("other")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return region.Minus(p, other) })
			},
		},
		{
			Word: Word{
				Name: "outline.edge", Kind: Method, Group: groupShapes, Units: "name is a text; gives an edge",
				Doc:     "The outline's edge of that name, to measure it; to hang something on it, make a panel of the outline first.",
				Example: `wide = rect(60, 90).edge("top").length`,
			},
			Args: "name", Open: true,
			run: runOutlineEdge,
		},
		{
			Word: Word{
				Name: "outline.area", Kind: Attribute, Group: groupShapes, Units: "square mm",
				Doc:     "The area inside the outline.",
				Example: `print(circle(18).area)`,
			},
			get: func(_ *host, self starlark.Value) starlark.Value {
				return starlark.Float(self.(*outlineValue).path.Area())
			},
		},
		{
			Word: Word{
				Name: "outline.length", Kind: Attribute, Group: groupShapes, Units: "mm",
				Doc:     "The length of the whole rim or path.",
				Example: `print(circle(18).length)`,
			},
			Open: true,
			get: func(_ *host, self starlark.Value) starlark.Value {
				return starlark.Float(self.(*outlineValue).path.Length())
			},
		},
		{
			Word: Word{
				Name: "outline.bounds", Kind: Attribute, Group: groupShapes, Units: "(x0, y0, x1, y1) in mm",
				Doc:     "The smallest upright rectangle round it: left, bottom, right and top.",
				Example: `x0, y0, x1, y1 = oval(40, 25).bounds`,
			},
			Open: true,
			get:  boundsOf,
		},
	}
}

func boundsOf(_ *host, self starlark.Value) starlark.Value {
	p := self.(*outlineValue).path
	b := p.Bounds()
	if len(p.Edges) == 0 {
		b = geom.BoxOf(p.Start())
	}
	return append(pointValue(b.Min.X, b.Min.Y), pointValue(b.Max.X, b.Max.Y)...)
}

func (c *call) moved(m geom.Isometry) (starlark.Value, error) {
	return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Transform(m), nil })
}

// reshaped gives the outline that the geometry makes of the call's own.
func (c *call) reshaped(f func(geom.Path) (geom.Path, error)) (starlark.Value, error) {
	return c.newOutline(c.sound(func() (geom.Path, error) { return f(c.self.(*outlineValue).path) }))
}

func runFlip(c *call) (starlark.Value, error) {
	switch axis := c.textNeeded("axis"); axis {
	case "x":
		return c.moved(geom.FlipX())
	case "y":
		return c.moved(geom.FlipY())
	default:
		c.failf("axis is %s", quote(axis)).WithHint(`write "x" to swap left and right, "y" to swap top and bottom`)
		return nil, c.fault
	}
}

func runOutlineEdge(c *call) (starlark.Value, error) {
	v := c.self.(*outlineValue)
	name := c.textNeeded("name")
	e, ok := v.edge(name)
	if !ok {
		return c.edgeNamed(e, noEdge("the "+v.Type(), name, v.path.Names()))
	}
	return e, nil
}

// corners reads a list of pairs of edge names, nil when it is left out.
func (c *call) corners(name string) [][2]string {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	return items(c, name, v, `a list of corners such as ("top", "right")`, func(i int, v starlark.Value) [2]string {
		return c.corner(fmt.Sprintf("item %d of %s", i, name), v)
	})
}

func (c *call) corner(name string, v starlark.Value) [2]string {
	a, b, ok := pair(v)
	first, ok1 := a.(starlark.String)
	second, ok2 := b.(starlark.String)
	if !ok || !ok1 || !ok2 {
		c.wrong(name, v, `a pair of edge names such as ("top", "right")`)
	}
	return [2]string{string(first), string(second)}
}
