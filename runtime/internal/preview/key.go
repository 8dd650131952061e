package preview

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

var (
	textFont = font{2.3, false}
	boldFont = font{2.3, true}
)

// Measures of the sheet's text, mm.
const (
	leading    = 3.3  // from line to line
	keySample  = 13.0 // length of a sample line
	keyRow     = 3.9
	swatchHigh = 2.6
)

// keySection explains the line kinds that occur, in the look they have on the
// drawing, and the hatching.
func keySection(in Input, width float64) section {
	s := section{heading: "Key"}
	k := keyColumns{width: width}
	var used []look
	for i := len(looks) - 1; i >= 0; i-- {
		if occurs(in, looks[i]) {
			used = append(used, looks[i])
			k.word = max(k.word, boldFont.width(string(looks[i].kind)))
		}
	}
	for _, l := range used {
		s.rows = append(s.rows, k.line(l))
	}
	for _, b := range in.Blanks {
		if len(gluedPanels(b.Piece)) > 0 {
			s.rows = append(s.rows, k.hatch())
			break
		}
	}
	return s
}

// keyColumns are the widths of the key and of its column of words.
type keyColumns struct{ width, word float64 }

// occurs reports whether some blank has lines of this look.
func occurs(in Input, l look) bool {
	for _, b := range in.Blanks {
		if l.kind == handFold && slices.ContainsFunc(b.Hinges, foldedByHand) {
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

func (k keyColumns) line(l look) row {
	return k.entry(string(l.kind), l.does, func(w Surface, p geom.Point) {
		line(w, p, p.Add(geom.Pt(keySample, 0)), l.pen.paint("sample-"+string(l.kind)))
	})
}

func (k keyColumns) hatch() row {
	return k.entry("glue", "glued when folded", func(w Surface, p geom.Point) {
		b := geom.BoxOf(p.Add(geom.Pt(0, -swatchHigh/2)), p.Add(geom.Pt(keySample, swatchHigh/2)))
		w.Rect(b, filled(glueTint))
		w.Rect(b, Paint{Fill: Hatch, Stroke: black, Width: narrow})
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
