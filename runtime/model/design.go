// Package model is what a script describes: pieces, panels, edges, hinges with
// their placement and stretch, joins, poses, contents and waivers, each with
// the site of the call that made it. A Builder validates and makes it, so Go
// callers get the same errors as scripts; once built it does not change. It
// knows no Starlark, and nothing of folding, files or pictures.
package model

import "github.com/creasewright/creasewright/runtime/source"

// Design is one script's whole result.
type Design struct {
	Title    string // first line of the script's docstring
	Params   []Param
	Pieces   []*Piece
	Panels   []*Panel // in order of making
	Hinges   []*Hinge // in order of making, closing hinges among them
	Joins    []*Join
	Poses    []*Pose // as given; "flat" and "closed" come first and always exist
	Contents []*Contents
	Settings []*Setting // limits() calls, in order
	Machines []*Machine // what every piece must fit
	Waivers  []*Waiver
	Failed   []*Requirement // require() calls that did not hold
}

// Param is one declared parameter and the value in force: int64, float64,
// string or bool.
type Param struct {
	Name    string
	Value   any
	Default any
	Min     any // nil where there is no limit
	Max     any
	Choices []any
	Doc     string
	Site    source.Site
}

// Waiver is an allow() call.
type Waiver struct {
	Rule   string
	Panel  *Panel
	Reason string
	Site   source.Site
}

// Requirement is a require() call that did not hold.
type Requirement struct {
	Message string
	Site    source.Site
}
