// Package jsontext writes JSON value by value, without reflection, and lays it out for
// people. What any text holds comes out as sound JSON that is safe to print.
package jsontext

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// Decimals of numbers: lengths in millimetres and angles in degrees, entries of a
// rotation, and areas and masses, whose last bits are worth more. The last bits of a
// float64 differ between processors; with these they never show.
const (
	LengthPlaces   = 9
	RotationPlaces = 13
	AreaPlaces     = 6
)

// Writer appends compact JSON to Out, value by value, and puts the commas between.
// Reflection over the same values takes ten times as long.
type Writer struct{ Out []byte }

// next writes the comma that goes before a key or a value, if one does.
// The last byte written tells: inside a container a value follows another unless it
// is the first or stands behind a colon. No value ends in one of those bytes, as
// strings end in a quote.
func (w *Writer) next() {
	if n := len(w.Out); n > 0 {
		switch w.Out[n-1] {
		case '{', '[', ':', ',':
		default:
			w.Out = append(w.Out, ',')
		}
	}
}

// Open begins an object or an array with its bracket.
func (w *Writer) Open(bracket byte) {
	w.next()
	w.Out = append(w.Out, bracket)
}

// End ends an object or an array with its bracket.
func (w *Writer) End(bracket byte) { w.Out = append(w.Out, bracket) }

// Key begins a member of an object, whose value comes next.
func (w *Writer) Key(name string) *Writer {
	w.Text(name)
	w.Out = append(w.Out, ':')
	return w
}

// List begins a member that is an array.
func (w *Writer) List(name string) { w.Key(name).Open('[') }

// Object begins a member that is an object.
func (w *Writer) Object(name string) { w.Key(name).Open('{') }

// Text writes a string. Few hold anything but plain characters; those that do
// are left to the library.
func (w *Writer) Text(s string) {
	w.next()
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			w.Out = append(w.Out, marshal(s)...)
			return
		}
	}
	w.Out = append(append(append(w.Out, '"'), s...), '"')
}

// Int writes a whole number.
func (w *Writer) Int(v int) {
	w.next()
	w.Out = strconv.AppendInt(w.Out, int64(v), 10)
}

// Bool writes true or false.
func (w *Writer) Bool(v bool) {
	w.next()
	w.Out = strconv.AppendBool(w.Out, v)
}

// Null writes null.
func (w *Writer) Null() {
	w.next()
	w.Out = append(w.Out, "null"...)
}

// Number writes a number rounded to so many decimals. It panics on one that is
// not finite, which JSON cannot hold and no blank has.
func (w *Writer) Number(v float64, places int) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("a number for JSON is not finite")
	}
	w.next()
	w.Out = decimal.AppendShort(w.Out, v, places)
}

// Exact writes a finite number with all its digits, so that it reads back as itself.
func (w *Writer) Exact(v float64) {
	w.next()
	w.Out = strconv.AppendFloat(w.Out, v, 'f', -1, 64)
}

// Optional writes a length or null.
func (w *Writer) Optional(v *float64) {
	if v == nil {
		w.Null()
		return
	}
	w.Number(*v, LengthPlaces)
}

// Matrix writes a motion as a 3×4 matrix by rows.
// World = R·(x, y, 0) + t, with row k of the matrix R[k][0], R[k][1], R[k][2], t[k].
func (w *Writer) Matrix(m geom.RigidTransform) {
	w.Open('[')
	for row, t := range [...]float64{m.T.X, m.T.Y, m.T.Z} {
		for col := range 3 {
			w.Number(m.R[3*row+col], RotationPlaces)
		}
		w.Number(t, LengthPlaces)
	}
	w.End(']')
}

// Any writes a value through the library.
func (w *Writer) Any(v any) {
	w.next()
	w.Out = append(w.Out, marshal(v)...)
}

// Raw writes a value that is compact JSON already.
func (w *Writer) Raw(value []byte) {
	w.next()
	w.Out = append(w.Out, value...)
}

// marshal is compact JSON that leaves < and > as they are.
func marshal(v any) []byte {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		panic(err)
	}
	return diag.EscapeJSON(bytes.TrimSuffix(buf.Bytes(), []byte("\n")))
}
