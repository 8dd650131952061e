package preview

import (
	"bytes"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// writer puts SVG together. Everything that comes from outside passes through
// attr or text, which escape; nothing else writes strings it did not make.
type writer struct{ buf bytes.Buffer }

// marker is the root attribute by which a sheet of ours is known again.
const marker = "data-creasewright"

// head opens the document: a page of size mm, one user unit a millimetre. The
// sort is "sheet" or "fault".
func (w *writer) head(size geom.Point, sort, title string) {
	w.buf.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	w.open("svg", "xmlns", "http://www.w3.org/2000/svg", marker, sort,
		"width", num(size.X)+"mm", "height", num(size.Y)+"mm",
		"viewBox", "0 0 "+num(size.X)+" "+num(size.Y))
	w.open("title")
	w.text(diag.Printable(title))
	w.close("title")
}

// open starts an element; kv are attribute names and values by turns, an empty
// value leaving the attribute out.
func (w *writer) open(name string, kv ...string) {
	w.start(name, kv)
	w.buf.WriteByte('>')
}

// elem writes an element without contents.
func (w *writer) elem(name string, kv ...string) {
	w.start(name, kv)
	w.buf.WriteString("/>\n")
}

func (w *writer) start(name string, kv []string) {
	w.buf.WriteByte('<')
	w.buf.WriteString(name)
	for i := 0; i+1 < len(kv); i += 2 {
		if kv[i+1] == "" {
			continue
		}
		w.buf.WriteByte(' ')
		w.buf.WriteString(kv[i])
		w.buf.WriteString(`="`)
		w.text(kv[i+1])
		w.buf.WriteByte('"')
	}
}

func (w *writer) close(name string) { w.buf.WriteString("</" + name + ">\n") }

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")

// text writes character data; what XML cannot hold becomes U+FFFD.
func (w *writer) text(s string) {
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

func (w *writer) bytes() []byte { return w.buf.Bytes() }

func (w *writer) rect(b geom.Box, kv ...string) {
	w.elem("rect", append([]string{"x", num(b.Min.X), "y", num(b.Min.Y),
		"width", num(b.Width()), "height", num(b.Height())}, kv...)...)
}

func (w *writer) circle(c geom.Point, r float64, kv ...string) {
	w.elem("circle", append([]string{"cx", num(c.X), "cy", num(c.Y), "r", num(r)}, kv...)...)
}

func (w *writer) path(d string, kv ...string) {
	if d != "" {
		w.elem("path", append([]string{"d", d}, kv...)...)
	}
}

// line draws one straight stroke in the pen of the group it stands in.
func (w *writer) line(p, q geom.Point, kv ...string) {
	w.path(pathData([]geom.Curve{geom.LineFrom(p, q)}, false), kv...)
}

// num writes a coordinate to a thousandth of a millimetre, never −0.
func num(v float64) string { return string(appendNum(nil, v)) }

func appendNum(dst []byte, v float64) []byte { return decimal.AppendShort(dst, v, 3) }
