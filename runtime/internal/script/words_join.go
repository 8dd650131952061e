package script

import (
	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/model"
)

const (
	groupJoins = "Joins"
	sleeve     = `top = panel("top", rect(60, 90))
left = panel("left", rect(28, 90), on = top.left)
right = panel("right", rect(28, 90), on = top.right)
base = panel("base", rect(60, 90), on = right.right)
`
)

func joinWords() []word {
	return []word{
		{
			Word: Word{
				Name: "meet", Kind: Function, Group: groupJoins, Units: "gap in mm",
				Doc:     "Asks that two edges come together in the closed piece, `gap` apart, and checks that they do. Nothing holds them.",
				Example: sleeve + `meet(base.right, left.left, gap = 0.2)`,
			},
			Args: "a, b, gap=0",
			run: func(c *call) (starlark.Value, error) {
				a, b, gap := c.edge("a"), c.edge("b"), c.length("gap")
				if c.fault != nil {
					return nil, c.fault
				}
				_, err := c.build.Meet(c.site, a, b, gap)
				return starlark.None, err
			},
		},
		{
			Word: Word{
				Name: "glue", Kind: Function, Group: groupJoins, Units: "a and b are panels",
				Doc: "Asks that panel `a` lie on panel `b`, within its outline, and be glued there; the two then lie next to each other. For a tab that is made to be glued, `tab` says it in one go.",
				Example: sleeve + `strip = panel("strip", rect(12, 90), on = base.right)
glue(strip, left)`,
			},
			Args: "a, b",
			run: func(c *call) (starlark.Value, error) {
				a, b := c.panel("a"), c.panel("b")
				if c.fault != nil {
					return nil, c.fault
				}
				_, err := c.build.Glue(c.site, a, b)
				return starlark.None, err
			},
		},
		{
			Word: Word{
				Name: "tuck", Kind: Function, Group: groupJoins, Units: "a is a panel; into is a panel or an opening",
				Doc: "Asks that panel `a` be pushed in and not glued: along the inside of a panel, or through an opening.",
				Example: sleeve + `lid = panel("lid", rect(60, 28), on = top.top)
tongue = flap("tongue", on = lid.top, depth = 14, round = 8)
tuck(tongue, base)`,
			},
			Args: "a, into",
			run: func(c *call) (starlark.Value, error) {
				a, into := c.panel("a"), c.tuckTarget("into")
				if c.fault != nil {
					return nil, c.fault
				}
				_, err := c.build.Tuck(c.site, a, into)
				return starlark.None, err
			},
		},
	}
}

// tuckTarget reads a panel or an opening.
func (c *call) tuckTarget(name string) model.JoinEnd {
	switch v := c.arg(name).(type) {
	case panelValue:
		return model.ToPanel(v.p)
	case openingValue:
		return model.ToWindow(v.w)
	default:
		f := c.wrong(name, orNone(v), "a panel or an opening")
		if orNone(v) == starlark.None {
			f.WithHint("cut gives an opening for a closed outline, such as a slot; a slit along an unclosed path is none")
		}
		return model.JoinEnd{}
	}
}
