package script

import (
	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// structValue is what struct gives. A name that it does not have is told with those
// that it has.
type structValue struct{ *starlarkstruct.Struct }

// Attr is the value of a name.
func (v structValue) Attr(name string) (starlark.Value, error) {
	if got, err := v.Struct.Attr(name); err == nil {
		return got, nil
	}
	f := diag.Scriptf(nil, "this struct has nothing called %s", name)
	has := "it has " + list(v.AttrNames(), "and")
	if near, ok := model.Nearest(name, v.AttrNames()); ok {
		has = "did you mean " + near + "? It has " + list(v.AttrNames(), "and")
	}
	return nil, f.WithHint("%s", has)
}

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
				return structValue{starlarkstruct.FromKeywords(starlarkstruct.Default, c.named)}, nil
			},
		},
	}
}
