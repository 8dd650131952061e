package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
)

const groupPaths = "Paths"

func pathWords() []word {
	return []word{
		{
			Word: Word{
				Name: "path", Kind: Function, Group: groupPaths, Units: "x and y in mm",
				Doc: "Begins a path at (x, y), to be drawn step by step. Each step's end is given, and each step may be given a name; the others are called e0, e1 and so on by step. " +
					"Closed, it is an outline; unclosed, it serves as a slit, a score, a perforation or a drawn line.",
				Example: `flap = path(0, 0).line(60, 0, name = "base").line(60, 20).arc(0, 20, radius = 40).close()`,
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
				Doc:     "A straight step to the point (x, y).",
				Example: `slit = path(10, 20).line(50, 20)`,
			},
			Args: "x, y, name=None",
			run: func(c *call) (starlark.Value, error) {
				x, y, name := c.length("x"), c.length("y"), c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Line(x, y, name) })
			},
		},
		{
			Word: Word{
				Name: "path.by", Kind: Method, Group: groupPaths, Units: "dx and dy in mm",
				Doc:     "A straight step `dx` to the right and `dy` up from where the path is.",
				Example: `notch = path(0, 0).by(10, 0).by(-5, 8).close()`,
			},
			Args: "dx, dy, name=None",
			run: func(c *call) (starlark.Value, error) {
				dx, dy, name := c.length("dx"), c.length("dy"), c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.By(dx, dy, name) })
			},
		},
		{
			Word: Word{
				Name: "path.arc", Kind: Method, Group: groupPaths, Units: "x, y, radius and through in mm; sweep in degrees",
				Doc: "A circular step to the point (x, y). Give one of `radius`, positive when the arc turns left and at most a half circle; `through`, a point (x, y) on the way; or `sweep`, the angle turned, positive to the left.",
				Example: `bow = path(0, 0).arc(60, 0, radius = 35)
lens = path(0, 0).arc(60, 0, through = (30, -8)).arc(0, 0, sweep = 90).close()`,
			},
			Args: "x, y, radius=None, through=None, sweep=None, name=None",
			run:  runArc,
		},
		{
			Word: Word{
				Name: "path.curve", Kind: Method, Group: groupPaths, Units: "c1, c2 and end are points (x, y) in mm",
				Doc:     "A curved step to the point `end`, a cubic Bézier curve: it leaves toward `c1` and arrives from `c2`.",
				Example: `wave = path(0, 20).curve((20, 0), (40, 40), (60, 20))`,
			},
			Args: "c1, c2, end, name=None",
			run: func(c *call) (starlark.Value, error) {
				c1, c2, end, name := c.point("c1"), c.point("c2"), c.point("end"), c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Curve(c1, c2, end, name) })
			},
		},
		{
			Word: Word{
				Name: "path.close", Kind: Method, Group: groupPaths, Units: "name is a text",
				Doc:     "Closes the path into an outline, with a straight step back to its beginning unless it is there already. The outline runs counter-clockwise, whichever way it was drawn.",
				Example: `sail = path(0, 0).line(40, 0).line(0, 60).close(name = "mast")`,
			},
			Args: "name=None",
			run: func(c *call) (starlark.Value, error) {
				name := c.text("name")
				return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.Close(name) })
			},
		},
	}
}

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
		turned := geom.Degrees(c.angle("sweep"))
		return c.reshaped(func(p geom.Path) (geom.Path, error) { return p.ArcSweep(x, y, turned, name) })
	}
	c.failf("give one of radius, through and sweep")
	return nil, c.fault
}
