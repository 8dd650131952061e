// Package blank lays a piece flat: it works out what board the windows leave,
// merges the line work of all panels so that every line is there once, and
// joins it into strokes. It knows nothing of folding in space or of files.
package blank

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Stroke is one unbroken run of a tool: curves end to end, home again at the
// start when Closed.
type Stroke struct {
	Curves []geom.Curve
	Closed bool
}

// Length is the length of all its curves together, in mm.
func (s Stroke) Length() float64 {
	sum := 0.0
	for _, c := range s.Curves {
		sum += c.Length()
	}
	return sum
}

// Layer is all the strokes of one kind.
type Layer struct {
	Kind    Kind
	Strokes []Stroke
}

// Length is the length of all strokes together.
func (l Layer) Length() float64 {
	sum := 0.0
	for _, s := range l.Strokes {
		sum += s.Length()
	}
	return sum
}

// Ring is a closed boundary of board, board on its left: counter-clockwise
// outside, clockwise round a hole.
type Ring []geom.Curve

// Sheet is one panel's board after windows, in the blank frame.
type Sheet struct {
	Panel  *model.Panel
	Rings  []Ring
	Area   float64
	Worked []WorkLine
}

// WorkLine is a piece of line within one panel's board: a slit, as a cut, or
// what is scored, perforated or drawn. A perforation is its whole line here.
type WorkLine struct {
	Kind  Kind
	Curve geom.Curve
}

// HingeLine is what windows and slits left of one hinge, in the blank frame.
type HingeLine struct {
	Hinge  *model.Hinge
	Kind   Kind // "" when the hinge has no line in the files
	Curves []geom.Curve
	Length float64
}

// Blank is one piece laid flat. Everything is in the blank frame: the root
// panel's axes, seen from the outside.
type Blank struct {
	Piece  *model.Piece
	Layers []Layer // kinds that occur, in file order
	Sheets []Sheet // one a panel, in the order of the piece's panels
	Hinges []HingeLine
	Bounds geom.Box
	Area   float64
}
