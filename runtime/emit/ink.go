package emit

import "github.com/creasewright/creasewright/runtime/blank"

// ink is a line kind's colour: in SVG, and the nearest colour of the DXF
// colour index.
type ink struct {
	svg string
	dxf int
}

// inks are the Okabe–Ito colours (Wong, Nature Methods 8:441, 2011), which
// colour-blind readers tell apart, black for the cut.
var inks = map[blank.Kind]ink{
	blank.CutLine:         {"#000000", 7},
	blank.ScoreLine:       {"#0072B2", 142},
	blank.BackScoreLine:   {"#56B4E9", 151},
	blank.PartCutLine:     {"#D55E00", 32},
	blank.BackPartCutLine: {"#E69F00", 30},
	blank.PerforatedLine:  {"#CC79A7", 241},
	blank.DrawnLine:       {"#009E73", 122},
}
