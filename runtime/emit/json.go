package emit

import (
	"bytes"
	"encoding/json"
	"math"
	"strconv"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// Decimals of the numbers in a report: lengths in millimetres and angles in
// degrees, entries of a rotation, and areas and masses, whose last bits are
// worth more.
const (
	lengthPlaces   = 9
	rotationPlaces = 13
	areaPlaces     = 6
)

// jsonWriter appends compact JSON, value by value; commas come of themselves.
// Reflection over the same values takes ten times as long.
type jsonWriter struct{ out []byte }

// next writes the comma that goes before a key or a value, if one does.
func (w *jsonWriter) next() {
	if n := len(w.out); n > 0 {
		switch w.out[n-1] {
		case '{', '[', ':', ',':
		default:
			w.out = append(w.out, ',')
		}
	}
}

// open begins an object or an array, end ends it.
func (w *jsonWriter) open(bracket byte) {
	w.next()
	w.out = append(w.out, bracket)
}

func (w *jsonWriter) end(bracket byte) { w.out = append(w.out, bracket) }

// key begins a member of an object, whose value comes next.
func (w *jsonWriter) key(name string) *jsonWriter {
	w.text(name)
	w.out = append(w.out, ':')
	return w
}

// list begins a member that is an array, object one that is an object.
func (w *jsonWriter) list(name string)   { w.key(name).open('[') }
func (w *jsonWriter) object(name string) { w.key(name).open('{') }

// text writes a string. Few hold anything but plain characters; those that do
// are left to the library.
func (w *jsonWriter) text(s string) {
	w.next()
	for i := range len(s) {
		if c := s[i]; c < ' ' || c > '~' || c == '"' || c == '\\' {
			w.out = append(w.out, marshal(s)...)
			return
		}
	}
	w.out = append(append(append(w.out, '"'), s...), '"')
}

func (w *jsonWriter) int(v int) {
	w.next()
	w.out = strconv.AppendInt(w.out, int64(v), 10)
}

func (w *jsonWriter) bool(v bool) {
	w.next()
	w.out = strconv.AppendBool(w.out, v)
}

func (w *jsonWriter) null() {
	w.next()
	w.out = append(w.out, "null"...)
}

// number writes a number rounded to so many decimals. It panics on one that is
// not finite, which JSON cannot hold and no blank has.
func (w *jsonWriter) number(v float64, places int) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("a number in the report is not finite")
	}
	w.next()
	w.out = decimal.AppendShort(w.out, v, places)
}

// optional writes a length or null.
func (w *jsonWriter) optional(v *float64) {
	if v == nil {
		w.null()
		return
	}
	w.number(*v, lengthPlaces)
}

// any writes a value through the library.
func (w *jsonWriter) any(v any) {
	w.next()
	w.out = append(w.out, marshal(v)...)
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
