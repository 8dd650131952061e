package preview

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Surface takes what a sheet is made of: shapes and lines of text in mm of the
// page, x to the right and y down, painted one over the other. A file format of
// the sheet is one implementation.
type Surface interface {
	// Open begins a group, which Close ends. What is drawn in it is shifted, and
	// takes from its paint whatever its own leaves out.
	Open(Paint, geom.Point)
	Close()
	// Curves draws strokes as one compound path: holes in what it fills are
	// strokes that run the other way.
	Curves([]blank.Stroke, Paint)
	// Points does the same with rings or runs of straight lines.
	Points(runs [][]geom.Point, closed bool, p Paint)
	Rect(geom.Box, Paint)
	Circle(mid geom.Point, r float64, p Paint)
	Text(Text)
}

// Paint is how a shape is filled and its outline stroked. A zero field is the
// group's.
type Paint struct {
	Class        string // what it is, for who reads the file
	Fill, Stroke string // "#RRGGBB", None or, for fills, Hatch or HatchInside
	Width        float64
	Dash         []float64 // lengths of dashes and gaps by turns, mm
	EvenOdd      bool      // fill rule; else by winding number
	RoundJoin    bool
	RoundCap     bool
}

// Fills that are no colour.
const (
	None        = "none"
	Hatch       = "url(#hatch)"        // strokes at 45° that rise to the right, see HatchStep
	HatchInside = "url(#hatch-inside)" // the same mirrored: they fall to the right
)

// The hatching of glued board: strokes HatchWidth wide, HatchStep apart, the
// first of which has the origin on its upper rim.
const (
	HatchColour = hatchColour
	HatchStep   = 1.5
	HatchWidth  = hairline
)

// Anchor is the part of a line of text that stands at its place.
type Anchor uint8

// The anchors.
const (
	AtStart Anchor = iota
	AtMiddle
	AtEnd
)

// Text is a line of text.
type Text struct {
	Text   string
	Size   float64 // of the type, mm
	Bold   bool
	At     geom.Point // on the base line
	Angle  float64    // degrees, clockwise on the page, about At
	Anchor Anchor
	Colour string
}

// writeText sets a line of text with the middle of its capitals at p.
func writeText(w Surface, s string, f font, p geom.Point, angle float64, anchor Anchor, colour string) {
	sin, cos := geom.Degrees(angle).Angle().SinCos()
	drop := f.size * capHeight / 2
	base := geom.Pt(p.X-float64(drop*sin), p.Y+float64(drop*cos))
	w.Text(Text{s, f.size, f.bold, base, angle, anchor, colour})
}

// line draws one straight stroke.
func line(w Surface, p, q geom.Point, paint Paint) {
	w.Points([][]geom.Point{{p, q}}, false, paint)
}

// stroked is the paint of a stroke without a fill of its own.
func stroked(colour string, width float64) Paint { return Paint{Stroke: colour, Width: width} }

// filled is the paint of a fill without a stroke of its own.
func filled(colour string) Paint { return Paint{Fill: colour} }
