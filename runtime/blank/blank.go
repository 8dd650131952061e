package blank

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Stroke is one unbroken run of a tool: curves end to end, home again at the
// start when Closed.
type Stroke struct {
	Curves []geom.Curve
	Closed bool
	// Rim says that it is a boundary of the board, closed, with board on its left and none on
	// its right.
	Rim bool
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

// Region is one panel's board after windows, in the blank frame.
type Region struct {
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
	Piece   *model.Piece
	Layers  []Layer  // kinds that occur, in file order
	Regions []Region // one a panel, in the order of the piece's panels
	Hinges  []HingeLine
	Bounds  geom.Box
	Area    float64
}

// Kind is what a line does to the board: the word used in files and reports.
type Kind string

// Line kinds, in the order files list them and tools make them: gentle work
// first, through-cuts last.
const (
	DrawnLine       Kind = "drawn"
	ScoreLine       Kind = "score"
	BackScoreLine   Kind = "back-score"
	PartCutLine     Kind = "part-cut"
	BackPartCutLine Kind = "back-part-cut"
	PerforatedLine  Kind = "perforated"
	CutLine         Kind = "cut"
)

var kinds = [...]Kind{DrawnLine, ScoreLine, BackScoreLine, PartCutLine, BackPartCutLine, PerforatedLine, CutLine}

// Kinds lists every line kind in that order.
func Kinds() []Kind { return slices.Clone(kinds[:]) }

// KindFacts is what a line kind is called elsewhere and how it is shown, in cut
// files and on sheets alike.
type KindFacts struct {
	// Structural is the type by which ISO 19593-1 marks such lines in print
	// files; "" for drawn lines, which it does not know.
	Structural string
	// FEFCO is the line code of the FEFCO code of design styles; "" for none.
	FEFCO string
	// Colour is one of the Okabe–Ito set (Wong, Nature Methods 8:441, 2011),
	// told apart by colour-blind readers too, as "#rrggbb".
	Colour string
	// ColourIndex is the nearest colour of the DXF colour index.
	ColourIndex int
}

var kindFacts = map[Kind]KindFacts{
	CutLine:         {"Cutting", "CL", "#000000", 7},
	ScoreLine:       {"Creasing", "CI", "#0072B2", 142},
	BackScoreLine:   {"ReverseCreasing", "CO", "#009E73", 122},
	PartCutLine:     {"PartialCutting", "SI", "#E69F00", 30},
	BackPartCutLine: {"ReversePartialCutting", "SO", "#D55E00", 32},
	PerforatedLine:  {"Perforating", "PL", "#56B4E9", 151},
	DrawnLine:       {"", "", "#CC79A7", 241},
}

// Facts gives what is known of the kind; nothing for "", a line not made.
func (k Kind) Facts() KindFacts { return kindFacts[k] }
