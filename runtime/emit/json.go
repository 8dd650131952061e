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

// jsonWriter appends compact JSON, value by value, and puts the commas between.
// Reflection over the same values takes ten times as long.
type jsonWriter struct{ out []byte }

// next writes the comma that goes before a key or a value, if one does.
// The last byte written tells: inside a container a value follows another unless it
// is the first or stands behind a colon. No value ends in one of those bytes, as
// strings end in a quote.
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

// indent lays compact JSON out for people and for line-by-line comparison:
// what holds only plain values stands on one line, all else is a line a
// member. The layout depends on the shape alone, never on the length of a
// number.
// compact must be sound JSON without white space, as jsonWriter makes it; other
// input may panic. Time is linear in its length: isFlat reads each container
// no further than to the first one inside.
func indent(compact []byte) []byte {
	in := indenter{src: compact, out: make([]byte, 0, 2*len(compact))}
	in.value(0)
	return append(in.out, '\n')
}

type indenter struct {
	src []byte // what is left to read
	out []byte
}

// value copies the value that src starts with; depth is that of its line, a space
// each.
func (in *indenter) value(depth int) {
	switch in.src[0] {
	case '{', '[':
		in.container(depth)
	default:
		in.scalar()
	}
}

// container copies an object or an array: "key:" reads as a plain value, so
// the two are laid out alike.
func (in *indenter) container(depth int) {
	flat := isFlat(in.src)
	in.copy(1)
	for !closes(in.src[0]) {
		if !flat {
			in.newline(depth + 1)
		}
		in.value(depth + 1)
		if in.src[0] == ':' {
			in.copy(1)
			in.out = append(in.out, ' ')
			in.value(depth + 1)
		}
		if in.src[0] == ',' {
			in.copy(1)
			if flat {
				in.out = append(in.out, ' ')
			}
		}
	}
	if !flat {
		in.newline(depth)
	}
	in.copy(1)
}

func (in *indenter) scalar() { in.copy(scalarEnd(in.src)) }

func (in *indenter) copy(n int) {
	in.out = append(in.out, in.src[:n]...)
	in.src = in.src[n:]
}

// newline breaks the line and indents the next by one space for each level.
func (in *indenter) newline(depth int) {
	in.out = append(in.out, '\n')
	for range depth {
		in.out = append(in.out, ' ')
	}
}

// isFlat reports whether the container that src starts with holds only plain
// values.
func isFlat(src []byte) bool {
	for i := 1; ; {
		switch c := src[i]; {
		case closes(c):
			return true
		case c == '{' || c == '[':
			return false
		case c == ',' || c == ':':
			i++
		default:
			i += scalarEnd(src[i:])
		}
	}
}

// closes reports whether a byte ends a container.
func closes(c byte) bool { return c == '}' || c == ']' }

// scalarEnd is the length of the string, number or word that src starts with.
func scalarEnd(src []byte) int {
	if src[0] == '"' {
		for i := 1; ; i++ {
			switch src[i] {
			case '\\':
				i++
			case '"':
				return i + 1
			}
		}
	}
	for i, c := range src {
		if c == ',' || c == ':' || closes(c) {
			return i
		}
	}
	return len(src)
}
