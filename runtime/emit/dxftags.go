package emit

import (
	"strconv"

	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// dxfWriter appends tags: a group code on one line, its value on the next.
// This is the ASCII form of DXF. Lines end in LF alone on every system, so that the
// bytes do not depend on where a file is made.
type dxfWriter struct {
	out  []byte
	next handle
}

// handle names an object of the file; every one is different.
// In the file it is text in hexadecimal under group 5 or 105, and under 330, 340,
// 350 or 390 where one object refers to another.
type handle int

// Handles of the objects that every file holds. Those of layers and entities
// follow on.
const (
	none handle = iota
	viewportTable
	linetypeTable
	layerTable
	styleTable
	viewTable
	ucsTable
	appTable
	dimstyleTable
	blockTable
	modelSpace
	modelBegin
	modelEnd
	modelLayout
	paperSpace
	paperBegin
	paperEnd
	paperLayout
	rootDictionary
	groupDictionary
	layoutDictionary
	plotStyleDictionary
	plotStyle
	firstFree
)

// free gives out a handle that no other object has.
func (w *dxfWriter) free() handle {
	h := w.next
	w.next++
	return h
}

// code appends a group code, right-aligned as is the custom.
func (w *dxfWriter) code(code int) {
	for limit := 100; limit > 1 && code < limit; limit /= 10 {
		w.out = append(w.out, ' ')
	}
	w.out = strconv.AppendInt(w.out, int64(code), 10)
	w.out = append(w.out, '\n')
}

// tag writes a text under a group code. It must hold no line break: none of the
// texts here comes from a script.
func (w *dxfWriter) tag(code int, value string) {
	w.code(code)
	w.out = append(w.out, value...)
	w.out = append(w.out, '\n')
}

// int writes a whole number (groups 60 to 79, 90 to 99, 280 to 289 and 370).
func (w *dxfWriter) int(code, value int) {
	w.code(code)
	w.out = strconv.AppendInt(w.out, int64(value), 10)
	w.out = append(w.out, '\n')
}

// real writes a number that is no coordinate, with nine decimals.
func (w *dxfWriter) real(code int, value float64) {
	w.code(code)
	w.out = decimal.AppendFixed(w.out, value, radiusPlaces)
	w.out = append(w.out, '\n')
}

// length writes a coordinate or a size in millimetres, exact to the grid.
func (w *dxfWriter) length(code int, value grid) {
	w.code(code)
	w.out = value.append(w.out)
	w.out = append(w.out, '\n')
}

// ref writes the handle of an object.
func (w *dxfWriter) ref(code int, h handle) {
	w.tag(code, h.String())
}

// node writes a place in the plane: x at code, y ten above.
func (w *dxfWriter) node(code int, n node) {
	w.length(code, n.x)
	w.length(code+10, n.y)
}

// place writes a place in space, z twenty above.
func (w *dxfWriter) place(code int, n node) {
	w.node(code, n)
	w.length(code+20, 0)
}

// direction writes a vector or a place given by plain numbers, x at code, y ten and
// z twenty above.
func (w *dxfWriter) direction(code int, x, y, z float64) {
	w.real(code, x)
	w.real(code+10, y)
	w.real(code+20, z)
}

// object opens an object with its handle and its owner's.
func (w *dxfWriter) object(kind string, h, owner handle) {
	w.tag(0, kind)
	w.ref(5, h)
	w.ref(330, owner)
}

// section opens one of HEADER, CLASSES, TABLES, BLOCKS, ENTITIES and OBJECTS, in
// the order of the DXF reference.
func (w *dxfWriter) section(name string) {
	w.tag(0, "SECTION")
	w.tag(2, name)
}

func (w *dxfWriter) endSection() { w.tag(0, "ENDSEC") }

// String is the handle in hexadecimal without leading zeros.
func (h handle) String() string {
	const digits = "0123456789ABCDEF"
	if h < 16 {
		return digits[h : h+1]
	}
	return (h / 16).String() + digits[h%16:h%16+1]
}
