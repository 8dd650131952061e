package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Window is an opening made by cutting a closed outline: it takes all board of
// the blank under it but the panels that hang in it.
type Window struct {
	Panel   *Panel
	Outline geom.Path // panel frame, counter-clockwise; board lies outside
	Site    source.Site
}

// WorkKind is what an open path does to the board.
type WorkKind uint8

// Kinds of work along an open path (scores and perforations may be closed too).
const (
	Slit WorkKind = iota
	ScoreLine
	Perforation
	Drawn
)

// Work is one path worked on a panel; it runs on over hinges.
type Work struct {
	Kind     WorkKind
	Panel    *Panel
	Path     geom.Path // panel frame
	Line     LineKind  // for ScoreLine
	Cut, Tie float64   // for Perforation, mm
	Site     source.Site
}
