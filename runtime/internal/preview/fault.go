package preview

import (
	"context"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

var (
	faultFont   = font{4.2, true}
	faultText   = font{lettering, false}
	excerptSize = lettering
)

// Measures of the box that tells a fault, mm.
const (
	faultBar     = 1.6 // the coloured bar at its left
	faultInset   = 6.0
	faultLeading = 5.4
	textLeading  = 4.9
	faultLines   = 6 // of headline or hint
	emptyWidth   = 297.0
	emptyHeight  = 210.0
)

// Fault draws what is shown while a script does not run: the fault in a clear
// box, over the last drawing in grey where last is a sheet of ours, else on an
// empty page. Line is the text of the script line that f points at, "" when it
// is not known. Last is not trusted: unless every part of it is one this
// package writes, it is left out. The answer is nil once the context has ended.
func Fault(ctx context.Context, f *diag.Finding, line string, last []byte) []byte {
	size := geom.Pt(emptyWidth, emptyHeight)
	old, ok := readSheet(ctx, last)
	if ok {
		size = old.size
	}
	b := newFaultBox(f, line, size.X-2*margin, ok)
	w := &writer{}
	w.head(documentHead{size, "fault", f.Message, b.note, faultStyle(size)})
	w.Rect(geom.Box{Max: size}, filled(paperColour))
	if ok {
		old.write(ctx, w)
	}
	if ctx.Err() != nil {
		return nil
	}
	w.open("g", "id", "fault", "font-family", fontFamily)
	b.write(w, geom.Pt(margin, margin))
	w.close("g")
	w.close("svg")
	return w.bytes()
}

// faultBox is the box's content, row by row. It is drawn as SVG alone.
type faultBox struct {
	width  float64
	height float64
	rows   []faultRow
	note   string // what is behind it
}

// faultRow is one line of the box: its height in mm and how it is drawn with its
// upper left corner at a point.
type faultRow struct {
	height float64
	draw   func(w *writer, at geom.Point)
}

// newFaultBox fills the box for a finding: place, message, excerpt, inner places,
// hint, and whether there is an earlier drawing behind it (over).
func newFaultBox(f *diag.Finding, line string, width float64, over bool) *faultBox {
	b := &faultBox{width: width}
	room := width - 2*faultInset
	at := f.Site.First()
	if at.File != "" {
		b.add(diag.Printable(at.String()), faultText, textLeading, greyColour, room)
	}
	b.add(diag.Printable(f.Message), faultFont, faultLeading, inkColour, room)
	if strings.TrimSpace(line) != "" {
		b.excerpt(line, at, room)
	}
	for _, inner := range f.Site.Inner() {
		b.add("in "+diag.Printable(inner.String()), faultText, textLeading, greyColour, room)
	}
	if f.Hint != "" {
		b.add("→ "+diag.Printable(f.Hint), faultText, textLeading, inkColour, room)
	}
	b.note = "There is no earlier drawing to show."
	if over {
		b.note = "The drawing in grey is of the last run that worked."
	}
	b.add(b.note, faultText, textLeading, greyColour, room)
	return b
}

// add appends wrapped text.
func (b *faultBox) add(text string, f font, step float64, colour string, room float64) {
	for _, l := range f.clip(f.wrap(text, room), faultLines, room) {
		b.push(faultRow{height: step, draw: func(w *writer, p geom.Point) {
			writeText(w, l, f, p.Add(geom.Pt(0, step/2)), 0, AtStart, colour)
		}})
	}
}

// push appends a row.
func (b *faultBox) push(r faultRow) {
	b.rows = append(b.rows, r)
	b.height += r.height
}

// excerpt shows the script line with the spot underlined.
func (b *faultBox) excerpt(line string, at source.Span, room float64) {
	const high = 7.0
	number := strconv.Itoa(at.Line)
	most := int(room/(excerptSize*monoAdvance/1000)) - len(number) - 4
	before, marked, after := cutLine(line, at, most)
	b.push(faultRow{height: high, draw: func(w *writer, p geom.Point) {
		w.Rect(geom.BoxOf(p.Add(geom.Pt(-1, 1)), p.Add(geom.Pt(room, high-1))), filled("#F4F5F6"))
		base := p.Add(geom.Pt(1, high/2+excerptSize*capHeight/2))
		w.open("text", "x", num(base.X), "y", num(base.Y), "font-size", num(excerptSize),
			"font-family", monoFamily, "fill", inkColour, "xml:space", "preserve")
		w.span(number+"  ", greyColour, "")
		w.chars(before)
		w.span(marked, vermilion, "underline")
		w.chars(after)
		w.close("text")
	}})
}

// span is a part of a text in its own colour.
func (w *writer) span(s, colour, decoration string) {
	w.open("tspan", "fill", colour, "text-decoration", decoration)
	w.chars(s)
	w.buf.WriteString("</tspan>")
}

// cutLine splits a script line at a span's columns, fit to print and at most
// most characters in all; what is left out on either side becomes "…".
func cutLine(line string, at source.Span, most int) (before, marked, after string) {
	runes := []rune(line)
	from := min(max(at.Column-1, 0), len(runes))
	to := len(runes)
	if at.EndLine == at.Line {
		to = min(max(at.EndColumn-1, from), len(runes))
	}
	b := []rune(strings.TrimLeft(printable(runes[:from]), " "))
	m, a := []rune(printable(runes[from:to])), []rune(printable(runes[to:]))
	if len(b) > most/3 {
		b = append([]rune("…"), b[len(b)-most/3:]...)
	}
	m = cutTail(m, most-len(b))
	return string(b), string(m), string(cutTail(a, most-len(b)-len(m)))
}

// printable shows a piece of a script line, tabs as spaces.
func printable(r []rune) string {
	return diag.Printable(strings.ReplaceAll(string(r), "\t", "    "))
}

// cutTail keeps at most most characters, the last an ellipsis where more went.
func cutTail(r []rune, most int) []rune {
	if len(r) <= most {
		return r
	}
	return append(append([]rune{}, r[:max(0, most-1)]...), '…')
}

// write draws the box with its upper left corner at p.
func (b *faultBox) write(w *writer, p geom.Point) {
	end := p.Add(geom.Pt(b.width, b.height+2*faultInset))
	w.Rect(geom.BoxOf(p, end), Paint{Fill: paperColour, Stroke: ruleColour, Width: narrow})
	w.Rect(geom.BoxOf(p, geom.Pt(p.X+faultBar, end.Y)), filled(vermilion))
	at := p.Add(geom.Pt(faultInset, faultInset))
	for _, r := range b.rows {
		r.draw(w, at)
		at.Y += r.height
	}
}
