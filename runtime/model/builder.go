package model

import (
	"github.com/creasewright/creasewright/runtime/source"
)

// Builder makes a Design call by call and refuses what a designer may not
// mean. Every method takes the site of the call that asked, and every error it
// returns is a *diag.Finding of rule "script" that carries it. Sizes are
// millimetres and angles degrees. A Builder is for one goroutine.
type Builder struct {
	design    Design
	overrides map[string]string
}

// NewBuilder starts an empty design. Overrides are parameter values from
// outside, as text, by parameter name.
func NewBuilder(overrides map[string]string) *Builder {
	return &Builder{overrides: overrides}
}

// Title sets the design's title.
func (b *Builder) Title(text string) { b.design.Title = text }

// Finish checks what only the whole script can tell, hands each piece its
// panels, hinges and joins, and gives the design. The builder is spent.
func (b *Builder) Finish() (*Design, error) { panic("soon") }

// ParamSpec asks for a parameter. Default is an int64, int, float64, string or
// bool and sets the type; Min and Max are numbers or nil.
type ParamSpec struct {
	Name     string
	Default  any
	Min, Max any
	Choices  []any
	Doc      string
}

// Param declares a parameter and gives the value in force: int64, float64,
// string or bool.
func (b *Builder) Param(site source.Site, s ParamSpec) (any, error) { panic("soon") }
