// Package look says how the line kinds of a blank look to people: one table for the
// drawing sheet and for screens. It draws nothing.
package look

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/model"
)

// Line is one row of the table: a line kind, how it is drawn and what is done there.
type Line struct {
	Kind   blank.Kind
	Colour string    // "#rrggbb"
	Width  float64   // mm at true size
	Dash   []float64 // dash and gap lengths by turns, as multiples of the width; nil for a full line
	Does   string    // in a few words, seen from the outside
}

// HandFold is a hinge that is folded by hand and has no line in the files.
const HandFold blank.Kind = "plain"

// FoldedByHand reports whether a hinge has no line in the files and folds all
// the same.
func FoldedByHand(h blank.HingeLine) bool {
	return h.Kind == "" && h.Hinge.Line == model.PlainFold && len(h.Curves) > 0
}

// Grey is for what matters less than lines of the blank.
const Grey = "#5F686E"

// Line widths in mm: narrow and wide stand 1 to 2, as ISO 128-2 has it.
const (
	Narrow = 0.18
	Wide   = 0.35
)

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

// lines is the one place that says how line kinds look, in the order they are
// painted.
//
// Colours are the files' own. Those that would stand out too little from board are
// darker, their parts of red, green and blue all by one factor.
var lines = [...]Line{
	{HandFold, Grey, Narrow, dashedSpaced, "folded by hand"},
	{blank.DrawnLine, "#B46A93", 0.25, nil, "pen or print"},
	{blank.ScoreLine, "#0072B2", 0.25, dashed, "folds away from you"},
	{blank.BackScoreLine, "#008863", 0.25, longDot, "folds toward you"},
	{blank.PartCutLine, "#AF7900", 0.3, longTwoDots, "half depth, outside"},
	{blank.BackPartCutLine, "#D55E00", 0.3, longDots, "half depth, inside"},
	{blank.PerforatedLine, "#4189B1", 0.6, dotted, "cut and tie by turns"},
	{blank.CutLine, "#000000", Wide, nil, "through"},
}

// Lines lists every kind of line in the order in which they are painted. inside says
// that the blank, or one of several, is seen from the inside, for which away from
// you is the other way. The dashes are shared and not to be changed.
func Lines(inside bool) []Line {
	out := append([]Line(nil), lines[:]...)
	for i := range out {
		switch {
		case !inside:
		case out[i].Kind == blank.ScoreLine:
			out[i].Does = "folds to the inside"
		case out[i].Kind == blank.BackScoreLine:
			out[i].Does = "folds to the outside"
		}
	}
	return out
}
