package script

import (
	"errors"
	"fmt"
	"strconv"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/model"
)

const groupOutlines = "Outlines"

// outlineWords make closed outlines.
func outlineWords() []word {
	return []word{
		{
			Word: Word{
				Name: "rect", Kind: Function, Group: groupOutlines, Units: "width, height and round in mm",
				Doc: "A rectangle with its lower left corner at the origin. Its edges are bottom, right, top and left; `round` gives its corners arcs of that radius.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", rect(60, 90, round = 4))
piece("label", label, board = card)`,
			},
			Args: "width, height, *, round=0",
			run: func(c *call) (starlark.Value, error) {
				w, h, r := c.length("width"), c.length("height"), c.length("round")
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Rect(w, h, r) }))
			},
		},
		{
			Word: Word{
				Name: "polygon", Kind: Function, Group: groupOutlines, Units: "points are (x, y) pairs in mm",
				Doc: "Straight edges from point to point and back to the first. They are called e0, e1 and so on in the order given, or by the names in `edges`.",
				Example: `card = board("card", caliper = 0.4)
wedge = panel("wedge", polygon([(0, 0), (60, 0), (0, 40)], edges = ["base", "slope", "back"]))
foot = flap("foot", on = wedge.base, depth = 15)
piece("wedge", wedge, board = card)`,
			},
			Args: "points, edges=None",
			run: func(c *call) (starlark.Value, error) {
				points, names := c.points("points"), c.texts("edges")
				if n := len(points); n > 1 && points[0] == points[n-1] {
					c.failf("the last point is the first one again").WithHint("a polygon closes by itself; leave that point out")
				}
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Polygon(points, names) }))
			},
		},
		{
			Word: Word{
				Name: "regular", Kind: Function, Group: groupOutlines, Units: "sides is a whole number; side in mm",
				Doc: "A figure with that many equal sides and angles. Its edges are e0, e1 and so on; the first lies along x from the origin.",
				Example: `card = board("card", caliper = 0.4)
base = panel("base", regular(6, 40))
wall = panel("wall", rect(40, 30), on = base.e0)
piece("base", base, board = card)`,
			},
			Args: "sides, side",
			run: func(c *call) (starlark.Value, error) {
				n, side := c.whole("sides"), c.length("side")
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Regular(n, side) }))
			},
		},
		{
			Word: Word{
				Name: "circle", Kind: Function, Group: groupOutlines, Units: "d in mm",
				Doc: "A circle of diameter `d` round the origin.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(circle(18).shift(30, 45))
piece("front", front, board = card)`,
			},
			Args: "d",
			run: func(c *call) (starlark.Value, error) {
				d := c.length("d")
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Circle(d) }))
			},
		},
		{
			Word: Word{
				Name: "oval", Kind: Function, Group: groupOutlines, Units: "width and height in mm",
				Doc: "An ellipse round the origin.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(oval(40, 25).shift(30, 45))
piece("front", front, board = card)`,
			},
			Args: "width, height",
			run: func(c *call) (starlark.Value, error) {
				w, h := c.length("width"), c.length("height")
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Oval(w, h) }))
			},
		},
		{
			Word: Word{
				Name: "slot", Kind: Function, Group: groupOutlines, Units: "length, width and round in mm",
				Doc: "A long hole round the origin, along x; `length` is its length over all. Its ends are round, or square with `round = 0`, or have corners of the radius given.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(slot(25, 6).shift(30, 75))
piece("front", front, board = card)`,
			},
			Args: "length, width, *, round=None",
			run: func(c *call) (starlark.Value, error) {
				l, w, r := c.length("length"), c.length("width"), c.optional("round", aLength)
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Slot(l, w, r) }))
			},
		},
	}
}

// sound runs the geometry unless the arguments were wrong already.
func (c *call) sound(draw func() (geom.Path, error)) (geom.Path, error) {
	if c.fault != nil {
		return geom.Path{}, c.fault
	}
	return draw()
}

// newOutline is the value for a path the geometry made, or its error with the
// call's place and name.
func (c *call) newOutline(p geom.Path, err error) (starlark.Value, error) {
	if err != nil {
		f := c.failf("%v", err)
		if told, ok := scan("«» is «word» mm, and sizes lie between «»", err.Error()); ok {
			if v, err := strconv.ParseFloat(told[1], 64); err == nil {
				f.WithHint("%s", model.SizeHint(v))
			}
		}
		var shape *region.ShapeError
		if errors.As(err, &shape) && len(shape.Holes) > 0 {
			f.WithHint("an outline has no holes; open them in the panel with its cut")
		}
	}
	c.edgesAllowed(len(p.Edges))
	return c.outlineOf(p), nil
}

// edgesAllowed asks that an outline of n edges is within bounds, before the
// geometry begins on it where that is known.
func (c *call) edgesAllowed(n int) {
	if int64(n) > c.limits[limit.Edges] {
		c.failf("an outline of more than %s edges", c.limits.Amount(limit.Edges)).WithHint("%s", c.limits.Raise(limit.Edges))
	}
}

// points reads a list of points.
func (c *call) points(name string) []geom.Point {
	v := c.arg(name)
	if s, ok := sequence(v); ok {
		if c.edgesAllowed(s.Len()); c.fault != nil {
			return nil
		}
	}
	return items(c, name, v, "a list of points (x, y)", func(i int, v starlark.Value) geom.Point {
		return c.pointFrom(fmt.Sprintf("point %d", i), v)
	})
}

// texts reads a list of texts, nil when it is left out.
func (c *call) texts(name string) []string {
	v := c.arg(name)
	if v == nil {
		return nil
	}
	return items(c, name, v, "a list of names in quotes", func(i int, v starlark.Value) string {
		t, ok := v.(starlark.String)
		if !ok {
			c.wrong(fmt.Sprintf("item %d of %s", i, name), v, aText)
		}
		return string(t)
	})
}

const groupPaths = "Paths"

// pathWords draw a path step by step; each gives a new path.
func pathWords() []word {
	return []word{
		{
			Word: Word{
				Name: "path", Kind: Function, Group: groupPaths, Units: "x and y in mm",
				Doc: "Begins a path at (x, y), to be drawn step by step. Each step's end is given, and each step may be given a name; the others are called e0, e1 and so on by step. " +
					"Closed, it is an outline; unclosed, it serves as a slit, a score, a perforation or a drawn line.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", path(0, 0).line(60, 0, name = "base").line(60, 20).arc(0, 20, radius = 40).close())
piece("label", label, board = card)`,
			},
			Args: "x, y",
			run: func(c *call) (starlark.Value, error) {
				x, y := c.length("x"), c.length("y")
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.StartPath(x, y) }))
			},
		},
		{
			Word: Word{
				Name: "path.line", Kind: Method, Group: groupPaths, Units: "x and y in mm",
				Doc: "A straight step to the point (x, y).",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(path(10, 20).line(50, 20))
piece("front", front, board = card)`,
			},
			Args: "x, y, *, name=None",
			run: func(c *call) (starlark.Value, error) {
				x, y, name := c.length("x"), c.length("y"), c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Line(x, y, name) })
			},
		},
		{
			Word: Word{
				Name: "path.by", Kind: Method, Group: groupPaths, Units: "dx and dy in mm",
				Doc: "A straight step `dx` to the right and `dy` up from where the path is.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", path(0, 0).by(60, 0).by(0, 40).by(-30, 20).by(-30, -20).close())
piece("label", label, board = card)`,
			},
			Args: "dx, dy, *, name=None",
			run: func(c *call) (starlark.Value, error) {
				dx, dy, name := c.length("dx"), c.length("dy"), c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.By(dx, dy, name) })
			},
		},
		{
			Word: Word{
				Name: "path.arc", Kind: Method, Group: groupPaths, Units: "x, y, radius and through in mm; sweep in degrees",
				Doc: "A circular step to the point (x, y). Give one of the three that tell which circle.\n" +
					"- `radius`: positive when the arc turns left, negative when it turns right; the arc is at most a half circle.\n" +
					"- `through`: a point (x, y) on the way.\n" +
					"- `sweep`: the angle turned, positive to the left.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
lens = path(0, 0).arc(40, 0, through = (20, -8)).arc(0, 0, sweep = 90).close()
front.cut(lens.shift(10, 50))
front.score(path(0, 20).arc(60, 20, radius = 45))
piece("front", front, board = card)`,
			},
			Args: "x, y, *, radius=None, through=None, sweep=None, name=None",
			run:  runArc,
		},
		{
			Word: Word{
				Name: "path.curve", Kind: Method, Group: groupPaths, Units: "c1, c2 and end are points (x, y) in mm",
				Doc: "A curved step to the point `end`, a cubic Bézier curve: it leaves toward `c1` and arrives from `c2`.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.perforate(path(0, 70).curve((20, 50), (40, 90), (60, 70)))
piece("front", front, board = card)`,
			},
			Args: "c1, c2, end, *, name=None",
			run: func(c *call) (starlark.Value, error) {
				c1, c2, end, name := c.point("c1"), c.point("c2"), c.point("end"), c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Curve(c1, c2, end, name) })
			},
		},
		{
			Word: Word{
				Name: "path.close", Kind: Method, Group: groupPaths, Units: "name is a text",
				Doc: "Closes the path into an outline, with a straight step back to its beginning unless it is there already. The outline runs counter-clockwise, whichever way it was drawn.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", path(0, 0).line(40, 0).line(0, 60).close(name = "mast"))
piece("label", label, board = card)`,
			},
			Args: "name=None",
			run: func(c *call) (starlark.Value, error) {
				name := c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Close(name) })
			},
		},
	}
}

// runArc draws an arc from one of three things that tell it: its radius, a point
// on the way, the angle it turns.
func runArc(c *call) (starlark.Value, error) {
	x, y, name := c.length("x"), c.length("y"), c.text("name")
	switch radius, through, sweep := c.has("radius"), c.has("through"), c.has("sweep"); {
	case radius && !through && !sweep:
		r := c.length("radius")
		return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.ArcRadius(x, y, r, name) })
	case through && !radius && !sweep:
		m := c.point("through")
		return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.ArcThrough(x, y, m, name) })
	case sweep && !radius && !through:
		turned := c.angle("sweep").Angle()
		return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.ArcSweep(x, y, turned, name) })
	}
	c.failf("give one of radius, through and sweep")
	return nil, c.fault
}

const groupShapes = "Working on outlines"

// shapeWords are what outlines can do; those marked Open unclosed paths can
// do too.
func shapeWords() []word {
	return []word{
		{
			Word: Word{
				Name: "outline.shift", Kind: Method, Group: groupShapes, Units: "dx and dy in mm",
				Doc: "The same outline moved `dx` to the right and `dy` up.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(circle(18).shift(30, 45))
piece("front", front, board = card)`,
			},
			Args: "dx, dy", Open: true,
			run: func(c *call) (starlark.Value, error) {
				return c.moved(geom.Translation(c.length("dx"), c.length("dy")))
			},
		},
		{
			Word: Word{
				Name: "outline.turn", Kind: Method, Group: groupShapes, Units: "angle in degrees; about is a point (x, y) in mm",
				Doc: "The same outline turned by an angle, positive to the left, about a point.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(rect(20, 20).turn(45).shift(30, 40))
piece("front", front, board = card)`,
			},
			Args: "angle, about=(0, 0)", Open: true,
			run: func(c *call) (starlark.Value, error) {
				about := geom.Point{}
				if c.has("about") {
					about = c.point("about")
				}
				return c.moved(geom.Rotation(c.angle("angle").Angle(), about))
			},
		},
		{
			Word: Word{
				Name: "outline.flip", Kind: Method, Group: groupShapes, Units: "axis is \"x\" or \"y\"",
				Doc: "The mirror image: \"x\" swaps left and right by negating x, \"y\" swaps top and bottom by negating y. Edges keep their names.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
hook = path(6, 40).line(20, 40).line(20, 60).close()
front.cut(hook)
front.cut(hook.flip("x").shift(60, 0))
piece("front", front, board = card)`,
			},
			Args: "axis", Open: true,
			run: runFlip,
		},
		{
			Word: Word{
				Name: "outline.round", Kind: Method, Group: groupShapes, Units: "r in mm; corners are pairs of edge names",
				Doc: "The outline with corners rounded by arcs of radius `r` that run on smoothly from both edges: all corners, or those listed. A new arc is named by its neighbours, as right-top.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", rect(60, 28).round(5, corners = [("right", "top"), ("top", "left")]))
piece("label", label, board = card)`,
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
				Doc: "The outline with corners cut off straight, `d` along either edge: all corners, or those listed. A new edge is named by its neighbours, as right-top.",
				Example: `card = board("card", caliper = 0.4)
label = panel("label", rect(60, 28).chamfer(4, corners = [("right", "top")]))
piece("label", label, board = card)`,
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
				Doc: "The outline with its whole rim moved out by `d`, or in when `d` is negative. Sharp corners stay sharp and arcs stay arcs.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
front.cut(rect(60, 90).grow(-12))
piece("front", front, board = card)`,
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
				Doc: "What this outline and the other cover together. One outline without holes must come out of it.",
				Example: `card = board("card", caliper = 0.4)
tag = panel("tag", rect(40, 60).plus(circle(40).shift(20, 60)))
piece("tag", tag, board = card)`,
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
				Doc: "What is left of this outline when the other is taken away. One outline without holes must remain.",
				Example: `card = board("card", caliper = 0.4)
insert = panel("insert", rect(60, 40).minus(circle(20).shift(30, 40)))
piece("insert", insert, board = card)`,
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
				Doc: "The outline's edge of that name, to measure it; to hang something on it, make a panel of the outline first.",
				Example: `card = board("card", caliper = 0.4)
print(rect(60, 90).edge("top").length)
label = panel("label", rect(60, 90))
piece("label", label, board = card)`,
			},
			Args: "name", Open: true,
			run: runOutlineEdge,
		},
		{
			Word: Word{
				Name: "outline.area", Kind: Attribute, Group: groupShapes, Units: "square mm",
				Doc: "The area inside the outline.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
window = circle(18).shift(30, 45)
front.cut(window)
print("the window takes %d square mm" % window.area)
piece("front", front, board = card)`,
			},
			get: func(_ *host, self starlark.Value) starlark.Value {
				return starlark.Float(self.(*outlineValue).path.Area())
			},
		},
		{
			Word: Word{
				Name: "outline.length", Kind: Attribute, Group: groupShapes, Units: "mm",
				Doc: "The length of the whole rim or path.",
				Example: `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
window = circle(18).shift(30, 45)
front.cut(window)
print("its rim is %d mm long" % window.length)
piece("front", front, board = card)`,
			},
			Open: true,
			get: func(_ *host, self starlark.Value) starlark.Value {
				return starlark.Float(self.(*outlineValue).path.Length())
			},
		},
		{
			Word: Word{
				Name: "outline.bounds", Kind: Attribute, Group: groupShapes, Units: "(x0, y0, x1, y1) in mm",
				Doc: "The smallest upright rectangle round it: left, bottom, right and top.",
				Example: `card = board("card", caliper = 0.4)
leaf = oval(40, 25)
x0, y0, x1, y1 = leaf.bounds
frame = panel("frame", rect(x1 - x0 + 16, y1 - y0 + 16))
frame.cut(leaf.shift(8 - x0, 8 - y0))
piece("frame", frame, board = card)`,
			},
			Open: true,
			get:  boundsOf,
		},
	}
}

// boundsOf is the bounding box, that of a path without steps being its start.
func boundsOf(_ *host, self starlark.Value) starlark.Value {
	p := self.(*outlineValue).path
	b := p.Bounds()
	if len(p.Edges) == 0 {
		b = geom.BoxOf(p.Start())
	}
	return append(pointValue(b.Min.X, b.Min.Y), pointValue(b.Max.X, b.Max.Y)...)
}

// moved gives the call's own outline in another place.
func (c *call) moved(m geom.Isometry) (starlark.Value, error) {
	return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Transform(m), nil })
}

// reshaped gives the outline that the geometry makes of the call's own.
func (c *call) reshaped(f func(geom.Path) (geom.Path, error)) (starlark.Value, error) {
	return c.newOutline(c.sound(func() (geom.Path, error) { return f(c.self.(*outlineValue).path) }))
}

// runFlip mirrors an outline in an axis through the origin.
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

// runOutlineEdge looks an edge of an outline up that is no panel yet.
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

// corner reads the names of the two edges that meet in a corner.
func (c *call) corner(name string, v starlark.Value) [2]string {
	a, b, ok := pair(v)
	first, ok1 := a.(starlark.String)
	second, ok2 := b.(starlark.String)
	if !ok || !ok1 || !ok2 {
		c.wrong(name, v, `a pair of edge names such as ("top", "right")`)
	}
	return [2]string{string(first), string(second)}
}
