package preview

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/internal/look"
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
	greyColour    = look.Grey
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
	narrow   = look.Narrow
	wide     = look.Wide
)

// pen draws one kind of line. Dash lengths are multiples of the width.
type pen struct {
	colour string
	width  float64
	dash   []float64
}

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

// leastContrast is that of every line to the board below it: WCAG 2.1, success
// criterion 1.4.11, for graphics that must be seen.
const leastContrast = 3

// looks are the line kinds in the order they are painted; the key lists them from the
// last to the first.
var looks = looksOf(false)

// looksOf are the looks on a sheet that has, if inside is set, pieces seen from there.
func looksOf(inside bool) (out []lineStyle) {
	for _, l := range look.Lines(inside) {
		out = append(out, lineStyle{l.Kind, pen{l.Colour, l.Width, l.Dash}, l.Does})
	}
	return out
}

// lookOf is the row of looks for a kind.
func lookOf(k blank.Kind) lineStyle {
	return looks[slices.IndexFunc(looks, func(l lineStyle) bool { return l.kind == k })]
}
