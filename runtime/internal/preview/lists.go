package preview

import (
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
)

// Measures of the lists, mm.
const (
	discIndent   = 6.6 // of text beside a finding's number
	letterIndent = 4.5
	mostLines    = 6  // of one message or hint
	mostNotes    = 40 // panels listed by their letters
	mostTurned   = 12 // panels named for one fold angle
)

// findingSection lists the findings under the numbers they have on the
// drawing: the fault, the cure, and where it was made.
func findingSection(in Input, width float64) section {
	s := section{heading: "Findings"}
	for i, f := range shown(in) {
		s.rows = append(s.rows, findingRow(i+1, f, width))
	}
	if left := len(in.Findings) - len(s.rows); left > 0 {
		s.rows = append(s.rows, textRow(fmt.Sprintf("and %d more, in the report", left), textFont, greyColour))
	}
	return s
}

// findingRow is one finding, kept together.
func findingRow(number int, f *diag.Finding, width float64) row {
	type line struct {
		text, colour string
	}
	var lines []line
	add := func(text, colour string) {
		for _, l := range textFont.clip(textFont.wrap(diag.Printable(text), width-discIndent), mostLines, width-discIndent) {
			lines = append(lines, line{l, colour})
		}
	}
	add(f.Message, inkColour)
	if f.Hint != "" {
		add("→ "+f.Hint, greyColour)
	}
	where := f.Rule
	if at := f.Site.First().String(); at != "" {
		where += ", " + at
	}
	add(where, greyColour)
	height := float64(leading*float64(len(lines))) + 1.6
	return row{height: height, draw: func(w Surface, p geom.Point) {
		w.Open(Paint{Class: "finding"}, geom.Point{})
		writeDisc(w, p.Add(geom.Pt(discRadius+haloWidth, discRadius+0.1)), number, f.Severity)
		for i, l := range lines {
			at := p.Add(geom.Pt(discIndent, leading*(float64(i)+0.5)))
			writeText(w, l.text, textFont, at, 0, AtStart, l.colour)
		}
		w.Close()
	}}
}

// noteSections name what found no room on the drawing: panels by the letters
// that stand in them, and fold angles by the panels that turn.
func noteSections(notes []note, width float64) []section {
	panels, angles := section{heading: "Panels too small to name"}, section{heading: "Fold angles not shown"}
	byFold := map[string][]string{}
	var order []string
	unnamed := 0
	for _, n := range notes {
		if n.fold == "" {
			if unnamed++; unnamed <= mostNotes {
				panels.rows = append(panels.rows, noteRow(n, width))
			}
			continue
		}
		if byFold[n.fold] == nil {
			order = append(order, n.fold)
		}
		byFold[n.fold] = append(byFold[n.fold], n.name)
	}
	if unnamed > mostNotes {
		panels.rows = append(panels.rows, textRow(fmt.Sprintf("and %d more", unnamed-mostNotes), textFont, greyColour))
	}
	column := factColumn
	for _, f := range order {
		column = max(column, textFont.width(f)+columnRoom)
	}
	for _, f := range order {
		angles.rows = append(angles.rows, factAt(f, someOf(byFold[f]), column, width)...)
	}
	return []section{panels, angles}
}

// someOf lists names, not too many.
func someOf(names []string) string {
	if more := len(names) - mostTurned; more > 0 {
		return strings.Join(names[:mostTurned], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}

// noteRow is the row of a panel that has no name on the drawing, after its letter.
func noteRow(n note, width float64) row {
	return row{height: leading, draw: func(w Surface, p geom.Point) {
		p = p.Add(geom.Pt(0, leading/2))
		writeText(w, n.letter, boldFont, p, 0, AtStart, inkColour)
		name := textFont.shorten(n.name, width-letterIndent)
		writeText(w, name, textFont, p.Add(geom.Pt(letterIndent, 0)), 0, AtStart, inkColour)
	}}
}

// cautionSection prints the cautions, each once.
func cautionSection(in Input, width float64) section {
	s := section{heading: "Cautions"}
	for _, c := range in.Cautions {
		lines := textFont.wrap(diag.Printable(c), width)
		for i, l := range lines {
			r := textRow(l, textFont, inkColour)
			r.keep = i+1 < len(lines)
			s.rows = append(s.rows, r)
		}
	}
	return s
}

// sections is the text beside the drawing, in reading order, but for the notes, which
// stand before the last.
func sections(in Input, width float64) []section {
	out := []section{titleSection(in, width)}
	out = append(out, findingSection(in, width))
	out = append(out, pieceSections(in, width)...)
	out = append(out, paramSection(in, width), keySection(in, width))
	out = append(out, panelSections(in, width)...)
	return append(out, cautionSection(in, width))
}

var (
	textFont = font{tableType, false}
	boldFont = font{tableType, true}
)

// Measures of the sheet's text, mm.
const (
	leading    = 3.6  // from line to line
	keySample  = 13.0 // length of a sample line
	keyRow     = 4.1
	swatchHigh = 2.6
)

// keySection explains the line kinds that occur, in the look they have on the
// drawing, and the hatching.
func keySection(in Input, width float64) section {
	s := section{heading: "Key"}
	k := keyColumns{width: width}
	inside := slices.ContainsFunc(in.Blanks, func(b *blank.Blank) bool { return b.Piece.Inside })
	var used []lineStyle
	for _, l := range slices.Backward(looksOf(inside)) {
		if occurs(in, l) {
			used = append(used, l)
			k.word = max(k.word, boldFont.width(string(l.kind)))
		}
	}
	products := slices.ContainsFunc(in.Views, View.showsProduct)
	if products {
		k.word = max(k.word, boldFont.width(productWord))
	}
	for _, l := range used {
		s.rows = append(s.rows, k.line(l))
	}
	var glued [2]bool
	for _, b := range in.Blanks {
		for side := range gluedBoard(b.Piece) {
			glued[side.face] = true
		}
	}
	for f, any := range glued {
		if any {
			s.rows = append(s.rows, k.hatch(face(f)))
		}
	}
	if products {
		s.rows = append(s.rows, k.product())
	}
	return s
}

// keyColumns are the widths of the key and of its column of words.
type keyColumns struct{ width, word float64 }

// occurs reports whether some blank has lines of this look.
func occurs(in Input, l lineStyle) bool {
	for _, b := range in.Blanks {
		if l.kind == look.HandFold && slices.ContainsFunc(b.Hinges, look.FoldedByHand) {
			return true
		}
		for _, layer := range b.Layers {
			if layer.Kind == l.kind && len(layer.Strokes) > 0 {
				return true
			}
		}
	}
	return false
}

// line is the key's row for a line style.
func (k keyColumns) line(l lineStyle) row {
	return k.entry(string(l.kind), l.does, func(w Surface, p geom.Point) {
		line(w, p, p.Add(geom.Pt(keySample, 0)), l.pen.paint("sample-"+string(l.kind)))
	})
}

// hatch is the key's row for glued board.
func (k keyColumns) hatch(f face) row {
	return k.entry("glue", [...]string{"on the outside", "on the inside"}[f], func(w Surface, p geom.Point) {
		b := geom.BoxOf(p.Add(geom.Pt(0, -swatchHigh/2)), p.Add(geom.Pt(keySample, swatchHigh/2)))
		w.Rect(b, filled(glueTint))
		w.Rect(b, Paint{Fill: f.fill(), Stroke: black, Width: narrow})
	})
}

const productWord = "product"

// product is the key's row for what stands in folded pieces.
func (k keyColumns) product() row {
	return k.entry(productWord, "what it holds", func(w Surface, p geom.Point) {
		b := geom.BoxOf(p.Add(geom.Pt(0, -swatchHigh/2)), p.Add(geom.Pt(keySample, swatchHigh/2)))
		w.Rect(b, Paint{Fill: productColour, Stroke: productInk, Width: narrow})
	})
}

// entry is a sample, the word and what it means.
func (k keyColumns) entry(word, does string, sample func(Surface, geom.Point)) row {
	return row{height: keyRow, draw: func(w Surface, p geom.Point) {
		p = p.Add(geom.Pt(0, keyRow/2))
		sample(w, p)
		x := keySample + 2
		writeText(w, word, boldFont, p.Add(geom.Pt(x, 0)), 0, AtStart, inkColour)
		x += k.word + 2
		writeText(w, textFont.shorten(does, k.width-x), textFont, p.Add(geom.Pt(x, 0)), 0, AtStart, greyColour)
	}}
}
