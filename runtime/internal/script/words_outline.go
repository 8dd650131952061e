package script

import (
	"errors"
	"fmt"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/limit"
)

const groupOutlines = "Outlines"

func outlineWords() []word {
	return []word{
		{
			Word: Word{
				Name: "rect", Kind: Function, Group: groupOutlines, Units: "width, height and round in mm",
				Doc:     "A rectangle with its lower left corner at the origin. Its edges are bottom, right, top and left; `round` gives its corners arcs of that radius.",
				Example: `lid = panel("lid", rect(60, 90, round = 4))`,
			},
			Args: "width, height, round=0",
			run: func(c *call) (starlark.Value, error) {
				w, h, r := c.length("width"), c.length("height"), c.length("round")
				return c.newOutline(c.sound(func() (geom.Path, error) { return geom.Rect(w, h, r) }))
			},
		},
		{
			Word: Word{
				Name: "polygon", Kind: Function, Group: groupOutlines, Units: "points are (x, y) pairs in mm",
				Doc:     "Straight edges from point to point and back to the first. They are called e0, e1 and so on in the order given, or by the names in `edges`.",
				Example: `wedge = panel("wedge", polygon([(0, 0), (60, 0), (0, 40)], edges = ["base", "slope", "back"]))`,
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
				Doc:     "A figure with that many equal sides and angles. Its edges are e0, e1 and so on; the first lies along x from the origin.",
				Example: `base = panel("base", regular(6, 40))`,
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
				Example: `front = panel("front", rect(60, 90))
front.cut(circle(18).shift(30, 45))`,
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
				Example: `front = panel("front", rect(60, 90))
front.cut(oval(40, 25).shift(30, 45))`,
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
				Example: `front = panel("front", rect(60, 90))
front.cut(slot(25, 6).shift(30, 80))`,
			},
			Args: "length, width, round=None",
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
