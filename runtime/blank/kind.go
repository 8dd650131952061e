package blank

import "slices"

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
