package model

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/unit"
	"github.com/creasewright/creasewright/runtime/source"
)

// ParamSpec asks for a parameter. Default is an int, int64, float64, string or
// bool and sets the sort of value; Min and Max are numbers or nil.
type ParamSpec struct {
	Name     string
	Default  any
	Min, Max any
	Choices  []any
	Doc      string
}

// Param declares a parameter and gives the value in force, int64, float64,
// string or bool: the default or what was set from outside.
func (b *Builder) Param(site source.Site, s ParamSpec) (any, error) {
	c := b.named(site, "param", s.Name)
	c.paramName(s.Name)
	if first, taken := b.params[s.Name]; taken {
		relate(c.failf("there is a param of that name already"), first, "the first one").
			WithHint("declare it once and use the value that it gives, as in width = param(\"width\", 60)")
	}
	p := Param{Name: s.Name, Doc: s.Doc, Site: site}
	p.Default = c.value("default", s.Default)
	p.Min, p.Max = c.bound("min", s.Min, p.Default), c.bound("max", s.Max, p.Default)
	for _, v := range s.Choices {
		p.Choices = append(p.Choices, c.choice(v, p.Default))
	}
	if c.ok() && p.Min != nil && p.Max != nil && number(p.Min) > number(p.Max) {
		c.failf("min = %s is more than max = %s", show(p.Min), show(p.Max)).WithHint("swap them, if that is what is meant: min = %s, max = %s", show(p.Max), show(p.Min))
	}
	if c.ok() {
		c.inRange("the default ", p, p.Default)
	}
	if c.ok() {
		p.Value = c.override(p, b.overrides)
	}
	if !c.ok() {
		return nil, c.err()
	}
	b.params[s.Name] = site
	b.design.Params = append(b.design.Params, p)
	return p.Value, nil
}

// paramName asks for a name that can be set as name=value.
func (c *call) paramName(name string) {
	c.name(name)
	if strings.ContainsAny(name, "= \t\r\n") {
		c.failf("the name holds a space or an equals sign, so it could not be set as name=value")
	}
}

// value brings a parameter's value to one of its four types.
func (c *call) value(name string, v any) any {
	switch v := v.(type) {
	case int:
		return int64(v)
	case float64:
		c.finite(name, v)
		return v
	case int64, string, bool:
		return v
	case nil:
		c.failf("%s is missing", name)
	default:
		c.failf("%s is neither a number nor text nor true or false", name)
	}
	return nil
}

// bound is a lower or upper limit; only numbers have them.
func (c *call) bound(name string, v, dflt any) any {
	if v == nil {
		return nil
	}
	v = c.value(name, v)
	switch {
	case sortOf(v) != "number":
		c.failf("%s = %s is not a number", name, show(v))
	case sortOf(dflt) != "number":
		c.failf("%s has no meaning, as the default is %s", name, show(dflt)).WithHint("a number has no quotes, and only numbers have a min and a max")
	}
	return v
}

func (c *call) choice(v, dflt any) any {
	v = c.value("a choice", v)
	if sortOf(v) != sortOf(dflt) {
		c.failf("the choice %s is not of the same sort as the default %s", show(v), show(dflt))
	}
	return v
}

// inRange checks a value against the parameter's limits and choices.
func (c *call) inRange(what string, p Param, v any) {
	cure := "set a value in the range"
	if what != "" {
		cure = "change the value, or the end of the range that shuts it out"
	}
	switch {
	case p.Min != nil && number(v) < number(p.Min):
		c.failf("%s%s is less than min = %s", what, show(v), show(p.Min)).WithHint("%s", cure)
	case p.Max != nil && number(v) > number(p.Max):
		c.failf("%s%s is more than max = %s", what, show(v), show(p.Max)).WithHint("%s", cure)
	case p.Choices != nil && !slices.ContainsFunc(p.Choices, func(w any) bool { return same(v, w) }):
		names, texts := make([]string, len(p.Choices)), []string{}
		for i, w := range p.Choices {
			names[i] = show(w)
			if text, ok := w.(string); ok {
				texts = append(texts, text)
			}
		}
		f := c.failf("%s%s is not one of the choices %s", what, show(v), strings.Join(names, ", ")).WithHint("take one of these")
		if text, ok := v.(string); ok {
			if near, ok := Nearest(text, texts); ok {
				f.WithHint("did you mean %q?", near)
			}
		}
	}
}

// override is what was set from outside, or else the default.
func (c *call) override(p Param, overrides map[string]string) any {
	text, given := overrides[p.Name]
	if !given {
		return p.Default
	}
	v := any(text)
	switch sortOf(p.Default) {
	case "number":
		v = c.numberFrom(text)
	case "truth":
		switch strings.ToLower(strings.TrimSpace(text)) {
		case "true":
			v = true
		case "false":
			v = false
		default:
			c.failf("%q is neither true nor false", text)
		}
	}
	if c.ok() {
		c.inRange("", p, v)
	}
	return v
}

// numberFrom reads a number from outside: whole ones are int64.
func (c *call) numberFrom(text string) any {
	v, err := unit.Parse(text)
	if err != nil {
		c.failf("%v", err)
		return nil
	}
	// Beyond 2⁵³ a float no longer tells neighbouring whole numbers apart.
	if v == math.Trunc(v) && math.Abs(v) <= 1<<53 {
		return int64(v)
	}
	return v
}

// unknownOverride is the error for a value set from outside that no param
// takes, nil when there is none.
func (b *Builder) unknownOverride() error {
	declared := slices.Sorted(maps.Keys(b.params))
	for _, name := range slices.Sorted(maps.Keys(b.overrides)) {
		if _, ok := b.params[name]; !ok {
			return diag.Scriptf(nil, "no param is named %q", name).WithHint("%s", suggest(name, declared))
		}
	}
	return nil
}

// sortOf tells numbers, text and truth values apart.
func sortOf(v any) string {
	switch v.(type) {
	case int64, float64:
		return "number"
	case string:
		return "text"
	case bool:
		return "truth"
	}
	return ""
}

func number(v any) float64 {
	if i, ok := v.(int64); ok {
		return float64(i)
	}
	f, _ := v.(float64)
	return f
}

// same reports whether two values are equal; 2 and 2.0 are.
func same(v, w any) bool {
	if sortOf(v) == "number" && sortOf(w) == "number" {
		return number(v) == number(w)
	}
	return v == w
}

// show writes a value as a script would.
func show(v any) string {
	switch v := v.(type) {
	case string:
		return fmt.Sprintf("%q", v)
	case bool:
		if v {
			return "True"
		}
		return "False"
	case float64:
		return fmt.Sprintf("%.10g", v)
	}
	return fmt.Sprint(v)
}
