package preview

import (
	"bytes"
	"math"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// writer is the Surface that writes SVG. Everything that comes from outside
// passes through attr or chars, which escape; nothing else writes strings it did
// not make.
type writer struct {
	buf  bytes.Buffer
	path []byte // room for path data
}

// marker is the root attribute by which a sheet of ours is known again.
const marker = "data-creasewright"

// documentHead is what an SVG document tells of itself before it draws.
type documentHead struct {
	size        geom.Point // of the page, mm
	sort        string     // "sheet" or "fault"
	title, desc string     // what it is called and what it shows
	style       string     // for browsers, see screen.go
}

// head opens the document, one user unit a millimetre. To a reader that speaks it is
// one picture, with a name and a description, since the texts on a drawing make no
// sense in the order they are drawn in.
func (w *writer) head(h documentHead) {
	w.buf.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	w.open("svg", "xmlns", "http://www.w3.org/2000/svg", marker, h.sort,
		"width", num(h.size.X)+"mm", "height", num(h.size.Y)+"mm",
		"viewBox", "0 0 "+num(h.size.X)+" "+num(h.size.Y), "preserveAspectRatio", "xMinYMin",
		"xml:lang", language, "role", "img", "aria-labelledby", "title desc")
	w.described("title", h.title)
	w.described("desc", h.desc)
	w.open("style")
	w.buf.WriteString(h.style)
	w.close("style")
}

// language is that of the sheet's own words.
const language = "en"

// described writes a title or a description under its own name as its id.
func (w *writer) described(name, text string) {
	w.open(name, "id", name)
	w.chars(diag.Printable(text))
	w.close(name)
}

// open starts an element; kv are attribute names and values by turns, an empty
// value leaving the attribute out.
func (w *writer) open(name string, kv ...string) {
	w.start(name)
	for i := 0; i+1 < len(kv); i += 2 {
		w.attr(kv[i], kv[i+1])
	}
	w.buf.WriteByte('>')
}

// start opens a tag.
func (w *writer) start(name string) {
	w.buf.WriteByte('<')
	w.buf.WriteString(name)
}

// attr writes an attribute, its value escaped.
func (w *writer) attr(name, value string) {
	if value == "" {
		return
	}
	w.name(name)
	w.chars(value)
	w.buf.WriteByte('"')
}

// name writes an attribute's name up to the opening quote.
func (w *writer) name(name string) {
	w.buf.WriteByte(' ')
	w.buf.WriteString(name)
	w.buf.WriteString(`="`)
}

// number writes an attribute that is a length in mm.
func (w *writer) number(name string, v float64) {
	w.name(name)
	w.path = appendNum(w.path[:0], v)
	w.buf.Write(w.path)
	w.buf.WriteByte('"')
}

// end closes a tag as an empty element.
func (w *writer) end() { w.buf.WriteString("/>\n") }

// close writes an end tag.
func (w *writer) close(name string) { w.buf.WriteString("</" + name + ">\n") }

// escaper replaces the characters that mean something in XML text or attributes.
var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// chars writes character data; what XML cannot hold becomes U+FFFD.
func (w *writer) chars(s string) {
	s = strings.Map(func(r rune) rune {
		if !allowedInXML(r) {
			return '\uFFFD'
		}
		return r
	}, s)
	_, _ = escaper.WriteString(&w.buf, s) // a bytes.Buffer takes everything
}

// allowedInXML is the Char production of XML 1.0, section 2.2, without CR,
// which parsers turn into LF.
func allowedInXML(r rune) bool {
	return r == '\t' || r == '\n' || r >= 0x20 && r <= 0xD7FF || r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 && r <= 0x10FFFF
}

// bytes is what has been written so far.
func (w *writer) bytes() []byte { return w.buf.Bytes() }

// Open is Surface's.
func (w *writer) Open(p Paint, shift geom.Point) {
	w.start("g")
	w.paint(p)
	if shift != (geom.Point{}) {
		w.attr("transform", "translate("+pair(shift)+")")
	}
	w.buf.WriteByte('>')
}

// Close is Surface's.
func (w *writer) Close() { w.close("g") }

// paint writes a paint as presentation attributes.
func (w *writer) paint(p Paint) {
	w.attr("class", p.Class)
	w.attr("fill", p.Fill)
	if p.EvenOdd {
		w.attr("fill-rule", "evenodd")
	}
	w.attr("stroke", p.Stroke)
	if p.Width > 0 {
		w.number("stroke-width", p.Width)
	}
	if len(p.Dash) > 0 {
		parts := make([]string, len(p.Dash))
		for i, d := range p.Dash {
			parts[i] = num(d)
		}
		w.attr("stroke-dasharray", strings.Join(parts, " "))
	}
	if p.RoundJoin {
		w.attr("stroke-linejoin", "round")
	}
	if p.RoundCap {
		w.attr("stroke-linecap", "round")
	}
}

// Rect is Surface's.
func (w *writer) Rect(b geom.Box, p Paint) {
	w.start("rect")
	w.number("x", b.Min.X)
	w.number("y", b.Min.Y)
	w.number("width", b.Width())
	w.number("height", b.Height())
	w.paint(p)
	w.end()
}

// Circle is Surface's.
func (w *writer) Circle(mid geom.Point, r float64, p Paint) {
	w.start("circle")
	w.number("cx", mid.X)
	w.number("cy", mid.Y)
	w.number("r", r)
	w.paint(p)
	w.end()
}

// Curves is Surface's.
func (w *writer) Curves(strokes []blank.Stroke, p Paint) {
	w.path = w.path[:0]
	for _, s := range strokes {
		w.path = appendCurves(w.path, s.Curves, s.Closed)
	}
	w.writePath(p)
}

// Points is Surface's.
func (w *writer) Points(runs [][]geom.Point, closed bool, p Paint) {
	w.path = w.path[:0]
	for _, r := range runs {
		w.path = appendPoints(w.path, r, closed)
	}
	w.writePath(p)
}

// writePath writes the path data gathered in w.path, if there is any.
func (w *writer) writePath(p Paint) {
	if len(w.path) == 0 {
		return
	}
	w.start("path")
	w.name("d")
	w.buf.Write(w.path)
	w.buf.WriteByte('"')
	w.paint(p)
	w.end()
}

// anchors are the names of anchors, the usual one left out.
var anchors = [...]string{AtMiddle: "middle", AtEnd: "end"}

// Text is Surface's.
func (w *writer) Text(t Text) {
	w.start("text")
	w.number("x", t.At.X)
	w.number("y", t.At.Y)
	w.number("font-size", t.Size)
	if t.Bold {
		w.attr("font-weight", "bold")
	}
	w.attr("text-anchor", anchors[t.Anchor])
	w.attr("fill", t.Colour)
	if t.Angle != 0 {
		w.attr("transform", "rotate("+num(t.Angle)+" "+pair(t.At)+")")
	}
	if strings.Contains(t.Text, "  ") {
		w.attr("xml:space", "preserve") // or runs of blanks would be folded into one
	}
	w.buf.WriteByte('>')
	w.chars(t.Text)
	w.close("text")
}

// hatch defines the hatchings of glued board, once a sheet.
func (w *writer) hatch() {
	w.open("defs")
	for _, h := range [...]struct{ id, turn string }{{"hatch", "rotate(45)"}, {"hatch-inside", "rotate(-45)"}} {
		w.open("pattern", "id", h.id, "patternUnits", "userSpaceOnUse", "width", num(HatchStep), "height", num(HatchStep),
			"patternTransform", h.turn)
		line(w, geom.Pt(0, 0), geom.Pt(0, HatchStep), stroked(HatchColour, 2*HatchWidth)) // half of it lies in the tile
		w.close("pattern")
	}
	w.close("defs")
}

// num writes a coordinate to a thousandth of a millimetre, never −0.
func num(v float64) string { return string(appendNum(nil, v)) }

// appendNum is num appended to dst.
func appendNum(dst []byte, v float64) []byte { return decimal.AppendShort(dst, exact(v), 3) }

// noise is how many decimals of a size count: what lies beyond differs between
// processors, and would turn figures half way between two.
const noise = 7

// exact rounds the last bits away before a number is rounded to be shown.
func exact(v float64) float64 { return decimal.Round(v, noise) }

// appendCurves writes a stroke as SVG path data. A curve that does not start
// where the one before ended starts a new subpath.
func appendCurves(dst []byte, cs []geom.Curve, closed bool) []byte {
	for i, c := range cs {
		if i == 0 || c.P.Dist(cs[i-1].Q) > geom.SnapTolerance {
			dst = appendPoint(append(dst, 'M'), c.P)
		}
		switch c.Kind {
		case geom.Arc:
			dst = appendArc(dst, c)
		case geom.Cubic:
			dst = appendPoint(append(dst, 'C'), c.C)
			dst = appendPoint(append(dst, ' '), c.D)
			dst = appendPoint(append(dst, ' '), c.Q)
		default:
			dst = appendPoint(append(dst, 'L'), c.Q)
		}
	}
	if closed && len(cs) > 0 {
		dst = append(dst, 'Z')
	}
	return dst
}

// maxArc is the largest turn that is written as one arc: SVG's end-point form is
// ill-conditioned near a half circle.
const maxArc = 2 * math.Pi / 3

// appendArc appends an arc as elliptical-arc commands of equal turns, each at most
// maxArc; the sweep flag is 1 where the arc turns clockwise on the page, y running
// down.
func appendArc(dst []byte, c geom.Curve) []byte {
	n := max(1, math.Ceil(c.Sweep.Abs().Radians()/maxArc-1e-9))
	flags := " 0 0 0 "
	if c.Sweep.Radians() > 0 { // y runs down, so a positive turn is SVG's positive turn
		flags = " 0 0 1 "
	}
	for i := 1.0; i <= n; i++ {
		dst = appendNum(append(dst, 'A'), c.R)
		dst = appendNum(append(dst, ' '), c.R)
		dst = appendPoint(append(dst, flags...), c.At(i/n))
	}
	return dst
}

// appendPoints writes points joined by lines.
func appendPoints(dst []byte, pts []geom.Point, closed bool) []byte {
	for i, p := range pts {
		dst = appendPoint(append(dst, "ML"[min(i, 1)]), p)
	}
	if closed && len(pts) > 0 {
		dst = append(dst, 'Z')
	}
	return dst
}

// appendPoint appends "x y".
func appendPoint(dst []byte, p geom.Point) []byte {
	return appendNum(append(appendNum(dst, p.X), ' '), p.Y)
}

// pair is a point as "x y".
func pair(p geom.Point) string { return string(appendPoint(nil, p)) }
