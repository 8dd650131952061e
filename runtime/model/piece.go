package model

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/source"
)

// Piece is one blank to be made: the tree of panels under Root.
type Piece struct {
	Name   string
	Root   *Panel
	Board  *board.Board
	Copies int
	Inside bool // cut files are mirrored, for boards worked from the inside
	Panels []*Panel
	Hinges []*Hinge // tree hinges and closing hinges
	Joins  []*Join
	Site   source.Site
}
