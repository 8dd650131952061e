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
			`lid = panel("lid", rect(mm(60), mm(90)))`),
		unitWord("cm", unit.Centimetre, "centimetres",
			"Centimetres: 10 mm.",
			`lid = panel("lid", rect(cm(6), cm(9)))`),
		unitWord("inch", unit.Inch, "inches",
			"Inches: 25.4 mm.",
			`lid = panel("lid", rect(inch(3), inch(4)))`),
		unitWord("thou", unit.Thou, "thousandths of an inch",
			"Thousandths of an inch, the unit in which board caliper is often sold: 0.0254 mm.",
			`card = board("carton card", caliper = thou(18))`),

		angleWord("sin", func(sin, _ float64) float64 { return sin },
			"Sine of an angle.", `rise = 40 * sin(30)`),
		angleWord("cos", func(_, cos float64) float64 { return cos },
			"Cosine of an angle.", `run = 40 * cos(30)`),
		{
			Word: Word{Name: "tan", Kind: Function, Group: groupNumbers, Units: "angle in degrees; gives a plain number",
				Doc:     "Tangent of an angle. At 90 degrees and every half turn on from there it has none, which is an error.",
				Example: `drop = 12 * tan(15)`},
			Args: "angle",
			run: func(c *call) (starlark.Value, error) {
				sin, cos := c.angle("angle").Angle().SinCos()
				if cos == 0 {
					c.failf("an angle of %s degrees has no tangent", geom.Num(float64(c.angle("angle"))))
				}
				return starlark.Float(sin / cos), nil
			},
		},
		arcWord("asin", geom.Asin, "Angle whose sine is x.", `lean = asin(12 / 40)`),
		arcWord("acos", geom.Acos, "Angle whose cosine is x.", `lean = acos(12 / 40)`),
		{
			Word: Word{Name: "atan2", Kind: Function, Group: groupNumbers, Units: "y and x in the same unit; gives degrees, more than −180 and at most 180",
				Doc:     "Direction of the point (x, y) seen from the origin, counted from +x to the left.",
				Example: `slope = atan2(30, 40)`},
			Args: "y, x",
			run: func(c *call) (starlark.Value, error) {
				y, x := c.number("y"), c.number("x")
				return starlark.Float(geom.Pt(x, y).Angle().Degrees()), nil
			},
		},
		{
			Word: Word{Name: "sqrt", Kind: Function, Group: groupNumbers, Units: "a plain number, 0 or more",
				Doc:     "Square root.",
				Example: `diagonal = sqrt(60 * 60 + 90 * 90)`},
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
				Doc:     "Length of the slanting side over two sides that are square to each other.",
				Example: `diagonal = hypot(60, 90)`},
			Args: "x, y",
			run: func(c *call) (starlark.Value, error) {
				return starlark.Float(math.Hypot(c.number("x"), c.number("y"))), nil
			},
		},
		{
			Word: Word{Name: "pi", Kind: Constant, Group: groupNumbers, Units: "a plain number",
				Doc:     "Circumference of a circle over its diameter, 3.14159…",
				Example: `label = panel("label", rect(pi * 72, 95))`},
			value: starlark.Float(math.Pi),
		},
	}
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
