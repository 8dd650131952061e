package preview

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
)

// Colours of the Okabe–Ito set (Wong, Nature Methods 8:441, 2011) for what is no
// line of the blank; lines have their kinds' own, some of them darker.
const (
	black     = "#000000"
	blue      = "#0072B2"
	vermilion = "#D55E00"
)

// Quiet tones of the sheet itself.
const (
	paperColour   = "#FFFFFF"
	inkColour     = "#1C2226"
	greyColour    = "#5F686E"
	ruleColour    = "#828689"
	boardColour   = "#F3EDE1"
	insideColour  = "#D3B88C"
	hatchColour   = "#8D7E00"
	glueTint      = "#FBF7C8"
	productColour = "#DCE6EE"
	productInk    = "#39424A"
	fontFamily    = "Arial, 'Liberation Sans', Helvetica, 'DejaVu Sans', sans-serif"
	monoFamily    = "'DejaVu Sans Mono', 'Liberation Mono', Menlo, Consolas, monospace"
)

// Type sizes in mm. Lettering is measured by its capitals: 2.5 mm on drawings, the
// smallest height of ISO 3098-1 that copies well, and 1.8 mm in tables.
const (
	lettering = 3.5
	tableType = 2.55
)

// Line widths in mm: narrow and wide stand 1 to 2, as ISO 128-2 has it.
const (
	hairline = 0.13
	narrow   = 0.18
	wide     = 0.35
)

// pen draws one kind of line. Dash lengths are multiples of the width.
type pen struct {
	colour string
	width  float64
	dash   []float64
}

// Line patterns by their ISO 128-2 number, as multiples of the line width:
// dash 12, long dash 24, gap 3, dot 0.5, spaced gap 18 (values from memory).
var (
	dashed       = []float64{12, 3}                         // 02
	dashedSpaced = []float64{12, 18}                        // 03
	longDot      = []float64{24, 3, 0.5, 3}                 // 04
	longTwoDots  = []float64{24, 3, 0.5, 3, 0.5, 3}         // 05
	longDots     = []float64{24, 3, 0.5, 3, 0.5, 3, 0.5, 3} // 06
	dotted       = []float64{0.5, 3}                        // 07
)

// paint gives the pen as a paint of what is called class.
func (p pen) paint(class string) Paint {
	dash := make([]float64, len(p.dash))
	for i, d := range p.dash {
		dash[i] = d * p.width
	}
	return Paint{Class: class, Fill: None, Stroke: p.colour, Width: p.width, Dash: dash}
}

// period is the length on paper after which the pattern repeats.
func (p pen) period() float64 {
	sum := 0.0
	for _, d := range p.dash {
		sum += float64(d * p.width)
	}
	return sum
}

// lineStyle is one row of the key: a line kind, how it is drawn and what is done.
type lineStyle struct {
	kind blank.Kind
	pen  pen
	does string
}

// handFold is a hinge that is folded by hand and has no line in the files.
const handFold blank.Kind = "plain"

// leastContrast is that of every line to the board below it: WCAG 2.1, success
// criterion 1.4.11, for graphics that must be seen.
const leastContrast = 3

// looks is the one place that says how line kinds look, in the order they are
// painted; the key lists them from the last to the first.
//
// Colours are the files' own. Those that would stand out too little from board are
// darker, their parts of red, green and blue all by one factor.
var looks = []lineStyle{
	{handFold, pen{greyColour, narrow, dashedSpaced}, "folded by hand"},
	{blank.DrawnLine, pen{"#B46A93", 0.25, nil}, "pen or print"},
	{blank.ScoreLine, pen{blue, 0.25, dashed}, "folds away from you"},
	{blank.BackScoreLine, pen{"#008863", 0.25, longDot}, "folds toward you"},
	{blank.PartCutLine, pen{"#AF7900", 0.3, longTwoDots}, "half depth, outside"},
	{blank.BackPartCutLine, pen{vermilion, 0.3, longDots}, "half depth, inside"},
	{blank.PerforatedLine, pen{"#4189B1", 0.6, dotted}, "cut and tie by turns"},
	{blank.CutLine, pen{black, wide, nil}, "through"},
}

// lookOf is the row of looks for a kind.
func lookOf(k blank.Kind) lineStyle {
	return looks[slices.IndexFunc(looks, func(l lineStyle) bool { return l.kind == k })]
}
