package script

import (
	"math"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/unit"
)

const (
	groupUnits   = "Units"
	groupNumbers = "Numbers"
)

// numberWords are units and the mathematics of drawing.
func numberWords() []word {
	return []word{
		unitWord("mm", unit.Millimetre, "millimetres",
			"Millimetres, the unit of every plain number; write it where the unit deserves to be seen.",
			labelOf(`rect(mm(60), mm(40))`)),
		unitWord("cm", unit.Centimetre, "centimetres",
			"Centimetres: 10 mm.",
			labelOf(`rect(cm(6), cm(4))`)),
		unitWord("inch", unit.Inch, "inches",
			"Inches: 25.4 mm.",
			labelOf(`rect(inch(3), inch(2))`)),
		unitWord("thou", unit.Thou, "thousandths of an inch",
			"Thousandths of an inch, the unit in which board caliper is often sold: 0.0254 mm.",
			`card = board("carton card", caliper = thou(18))
label = panel("label", rect(60, 40))
piece("label", label, board = card)`),

		angleWord("sin", func(sin, _ float64) float64 { return sin },
			"Sine of an angle.", labelOf(`polygon([(0, 0), (60, 0), (60 + 40 * cos(30), 40 * sin(30)), (0, 40 * sin(30))])`)),
		angleWord("cos", func(_, cos float64) float64 { return cos },
			"Cosine of an angle.", labelOf(`polygon([(0, 0), (60, 0), (60 + 40 * cos(30), 40 * sin(30)), (0, 40 * sin(30))])`)),
		{
			Word: Word{Name: "tan", Kind: Function, Group: groupNumbers, Units: "angle in degrees; gives a plain number",
				Doc: "Tangent of an angle. At 90 degrees and every half turn on from there it has none, which is an error.",
				Example: `card = board("card", caliper = 0.4)
drop = 90 * tan(15)
label = panel("label", polygon([(0, 0), (90, 0), (90, 30 + drop), (0, 30)]))
piece("label", label, board = card)`},
			Args: "angle",
			run: func(c *call) (starlark.Value, error) {
				sin, cos := c.angle("angle").Angle().SinCos()
				if cos == 0 {
					c.failf("an angle of %s degrees has no tangent", geom.Num(float64(c.angle("angle"))))
				}
				return starlark.Float(sin / cos), nil
			},
		},
		arcWord("asin", geom.Asin, "Angle whose sine is x.", labelOf(`rect(60, 40).turn(asin(12 / 40))`)),
		arcWord("acos", geom.Acos, "Angle whose cosine is x.", labelOf(`rect(60, 40).turn(acos(12 / 40))`)),
		{
			Word: Word{Name: "atan2", Kind: Function, Group: groupNumbers, Units: "y and x in the same unit; gives degrees, more than −180 and at most 180",
				Doc: "Direction of the point (x, y) seen from the origin, counted from +x to the left.",
				Example: `card = board("card", caliper = 0.4)
slope = atan2(30, 40)  # 36.87 degrees
label = panel("label", rect(50, 20).turn(slope))
piece("label", label, board = card)`},
			Args: "y, x",
			run: func(c *call) (starlark.Value, error) {
				y, x := c.number("y"), c.number("x")
				return starlark.Float(geom.Pt(x, y).Angle().Degrees()), nil
			},
		},
		{
			Word: Word{Name: "sqrt", Kind: Function, Group: groupNumbers, Units: "a plain number, 0 or more",
				Doc: "Square root.",
				Example: `card = board("card", caliper = 0.4)
side = sqrt(2400)  # a square as large as 60 by 40
label = panel("label", rect(side, side))
piece("label", label, board = card)`},
			Args: "x",
			run: func(c *call) (starlark.Value, error) {
				x := c.number("x")
				if x < 0 {
					c.failf("x is %s; a negative number has no square root", geom.Num(x))
				}
				return starlark.Float(math.Sqrt(x)), nil
			},
		},
		{
			Word: Word{Name: "hypot", Kind: Function, Group: groupNumbers, Units: "x and y in the same unit, which the result has too",
				Doc: "Length of the slanting side over two sides that are square to each other.",
				Example: `card = board("card", caliper = 0.4)
wedge = panel("wedge", polygon([(0, 0), (40, 0), (0, 30)], edges = ["base", "slope", "back"]))
ramp = panel("ramp", rect(hypot(40, 30), 20), on = wedge.slope)
piece("wedge", wedge, board = card)`},
			Args: "x, y",
			run: func(c *call) (starlark.Value, error) {
				return starlark.Float(math.Hypot(c.number("x"), c.number("y"))), nil
			},
		},
		{
			Word: Word{Name: "pi", Kind: Constant, Group: groupNumbers, Units: "a plain number",
				Doc: "Circumference of a circle over its diameter, 3.14159…",
				Example: `card = board("card", caliper = 0.4)

# round a jar of 72 mm, and 10 mm to stick it on itself
label = panel("label", rect(pi * 72 + 10, 95))
piece("label", label, board = card)`},
			value: starlark.Float(math.Pi),
		},
	}
}

// labelOf is an example that makes a label of an outline.
func labelOf(outline string) string {
	return `card = board("card", caliper = 0.4)
label = panel("label", ` + outline + `)
piece("label", label, board = card)`
}

// unitWord turns a number in another unit into millimetres.
func unitWord(name string, in unit.Unit, units, doc, example string) word {
	return word{
		Word: Word{Name: name, Kind: Function, Group: groupUnits, Units: "x in " + units + "; gives mm", Doc: doc, Example: example},
		Args: "x",
		run: func(c *call) (starlark.Value, error) {
			if i, ok := c.arg("x").(starlark.Int); ok && in == unit.Millimetre {
				return i, nil
			}
			return starlark.Float(in.MM(c.number("x"))), nil
		},
	}
}

// angleWord is a function of an angle, told from its sine and cosine, which are
// exact at quarter turns.
func angleWord(name string, of func(sin, cos float64) float64, doc, example string) word {
	return word{
		Word: Word{Name: name, Kind: Function, Group: groupNumbers, Units: "angle in degrees; gives a plain number", Doc: doc, Example: example},
		Args: "angle",
		run: func(c *call) (starlark.Value, error) {
			return starlark.Float(of(c.angle("angle").Angle().SinCos())), nil
		},
	}
}

// arcWord gives the angle that has a sine or cosine.
func arcWord(name string, f func(float64) geom.Angle, doc, example string) word {
	return word{
		Word: Word{Name: name, Kind: Function, Group: groupNumbers, Units: "x between −1 and 1; gives degrees", Doc: doc, Example: example},
		Args: "x",
		run: func(c *call) (starlark.Value, error) {
			x := c.number("x")
			if x < -1 || x > 1 {
				c.failf("x is %s, and must lie between -1 and 1", geom.Num(x))
			}
			return starlark.Float(f(x).Degrees()), nil
		},
	}
}
