package script

import (
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// structWords bundle values, so that a library function gives back all that it
// made under names.
func structWords() []word {
	return []word{
		{
			Word: Word{
				Name: "struct", Kind: Function, Group: "Functions of your own", Units: "whatever the values are",
				Doc: "Several values in one, each under the name it is given here and read by that name: what a function gives back that makes more than one panel. " +
					"The values cannot be changed afterwards.",
				Example: `def lid_and_tuck(on):
    lid = flap("lid", on = on, depth = 40)
    tongue = flap("tuck", on = lid.tip, depth = 15, round = 6)
    return struct(lid = lid, tuck = tongue)

back = panel("back", rect(60, 90))
closure = lid_and_tuck(back.top)
closure.lid.cut(circle(18).shift(30, 20))
piece("back", back, board = board("card", caliper = 0.4))`,
			},
			Args:    "**values",
			AnyName: true,
			run: func(c *call) (starlark.Value, error) {
				return starlarkstruct.FromKeywords(starlarkstruct.Default, c.named), nil
			},
		},
	}
}
