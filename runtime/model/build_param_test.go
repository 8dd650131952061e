package model

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
)

func TestParamValues(t *testing.T) {
	for _, c := range []struct {
		name string
		spec ParamSpec
		set  string // "-" for not set
		want any
	}{
		{"default int", ParamSpec{Default: 90}, "-", int64(90)},
		{"default int64", ParamSpec{Default: int64(90)}, "-", int64(90)},
		{"default float", ParamSpec{Default: 90.0}, "-", 90.0},
		{"default text", ParamSpec{Default: "tuck"}, "-", "tuck"},
		{"default truth", ParamSpec{Default: true}, "-", true},
		{"whole", ParamSpec{Default: 90.5}, "80", int64(80)},
		{"whole float", ParamSpec{Default: 90}, "80.0", int64(80)},
		{"fraction", ParamSpec{Default: 90}, "80.25", 80.25},
		{"millimetres", ParamSpec{Default: 90}, "80mm", int64(80)},
		{"centimetres", ParamSpec{Default: 90}, "8.5cm", int64(85)},
		{"inches", ParamSpec{Default: 90}, "0.5in", 12.7}, // an inch is 25.4 mm, by definition
		{"thou", ParamSpec{Default: 1}, "1000 thou", 25.4},
		{"negative", ParamSpec{Default: 1, Min: -5}, "-5", int64(-5)},
		{"too big for a whole", ParamSpec{Default: 1}, "1e17", 1e17},
		{"text", ParamSpec{Default: "a"}, " 3in ", " 3in "},
		{"true", ParamSpec{Default: false}, "True", true},
		{"false", ParamSpec{Default: true}, "false", false},
		{"choice", ParamSpec{Default: "a", Choices: []any{"a", "b"}}, "b", "b"},
		{"number among choices", ParamSpec{Default: 1.0, Choices: []any{1, 2.5, 3}}, "3", int64(3)},
		{"at the limits", ParamSpec{Default: 1, Min: 1, Max: 2}, "2", int64(2)},
	} {
		c.spec.Name = "p"
		var set map[string]string
		if c.set != "-" {
			set = map[string]string{"p": c.set}
		}
		b := NewBuilder(set)
		got, err := b.Param(at(3), c.spec)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		g, isFloat := got.(float64)
		w, wantFloat := c.want.(float64)
		if isFloat && wantFloat && math.Abs(g-w) <= 1e-12*math.Abs(w) {
			got = c.want
		}
		if got != c.want {
			t.Errorf("%s: %v (%T), want %v (%T)", c.name, got, got, c.want, c.want)
		}
		if p := b.design.Params[0]; p.Value == nil || p.Default == nil || p.Site.First().Line != 3 {
			t.Errorf("%s: recorded as %+v", c.name, p)
		}
	}
}

func TestParamRefuses(t *testing.T) {
	ask := func(set string, s ParamSpec) error {
		if s.Name == "" {
			s.Name = "p"
		}
		over := map[string]string{}
		if set != "" {
			over["p"] = set
		}
		return failed(NewBuilder(over).Param(at(99), s))
	}
	twice := NewBuilder(nil)
	must(twice.Param(at(3), ParamSpec{Name: "p", Default: 1}))
	refuse(t, []fault{
		{"no name", failed(twice.Param(at(99), ParamSpec{Default: 1})), `param "": the name is empty`, ""},
		{"unsettable name", ask("", ParamSpec{Name: "a=b", Default: 1}),
			`param "a=b": the name holds a space or an equals sign, so it could not be set as name=value`, ""},
		{"long name", ask("", ParamSpec{Name: strings.Repeat("a", 201), Default: 1}),
			`param: a name of 201 characters is too long, at most 200 are allowed`, ""},
		{"twice", failed(twice.Param(at(99), ParamSpec{Name: "p", Default: 1})), `param "p": there is a param of that name already`, ""},
		{"no default", ask("", ParamSpec{}), `param "p": default is missing`, ""},
		{"list default", ask("", ParamSpec{Default: []any{1}}), `param "p": default is neither a number nor text nor true or false`, ""},
		{"NaN default", ask("", ParamSpec{Default: nan}), `param "p": default = NaN is not a number`, ""},
		{"infinite max", ask("", ParamSpec{Default: 1, Max: inf}), `param "p": max = +Inf is not a number`, ""},
		{"min of text", ask("", ParamSpec{Default: "a", Min: 1}), `param "p": min has no meaning, as the default is "a"`, ""},
		{"text min", ask("", ParamSpec{Default: 1, Min: "a"}), `param "p": min = "a" is not a number`, ""},
		{"min over max", ask("", ParamSpec{Default: 1, Min: 3, Max: 2}), `param "p": min = 3 is more than max = 2`, ""},
		{"default too small", ask("", ParamSpec{Default: 1, Min: 3}), `param "p": the default 1 is less than min = 3`, ""},
		{"default no choice", ask("", ParamSpec{Default: "c", Choices: []any{"a", "b"}}), `param "p": the default "c" is not one of the choices "a", "b"`, ""},
		{"mixed choices", ask("", ParamSpec{Default: 1, Choices: []any{1, "b"}}), `param "p": the choice "b" is not of the same sort as the default 1`, ""},
		{"too small", ask("2.5", ParamSpec{Default: 90, Min: 20}), `param "p": 2.5 is less than min = 20`, ""},
		{"too big", ask("20in", ParamSpec{Default: 90, Max: 300}), `param "p": 508 is more than max = 300`, ""},
		{"no choice", ask("c", ParamSpec{Default: "a", Choices: []any{"a", "b"}}), `param "p": "c" is not one of the choices "a", "b"`, ""},
		{"no truth", ask("yes", ParamSpec{Default: true}), `param "p": "yes" is neither true nor false`, ""},
	})
	for _, text := range []string{"NaN", "inf", "wide", "3 feet", "1e999", "0x10"} {
		if err := ask(text, ParamSpec{Default: 90}); err == nil || !strings.Contains(err.Error(), `param "p": `) {
			t.Errorf("%q: %v, want an error", text, err)
		}
	}
}

// A value set from outside that no param declares is an error of the whole
// run, told with the nearest name; the first in order of name is told.
func TestUnknownOverride(t *testing.T) {
	b := NewBuilder(map[string]string{"width": "3", "lenght": "4", "zzz": "1"})
	must(b.Param(nil, ParamSpec{Name: "width", Default: 1}))
	must(b.Param(nil, ParamSpec{Name: "length", Default: 1}))
	root := must(b.Panel(nil, PanelSpec{Name: "label", Outline: rect(60, 40)}))
	must(b.Piece(nil, PieceSpec{Name: "label", Root: root, Board: card, Copies: 1}))
	_, err := b.Finish()
	var f *diag.Finding
	if !errors.As(err, &f) || f.Message != `no param is named "lenght"` || f.Hint != `did you mean "length"?` {
		t.Errorf("got %+v", f)
	}
}
