package emit

import (
	"bytes"
	"context"
	"errors"
	"sync"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// How every DXF file begins and ends.
const (
	dxfHead = "  0\nSECTION\n"
	dxfTail = "  0\nEOF\n"
)

// checkDXF holds a DXF file to what DXF writes: under each group code the texts of the files made here,
// and besides numbers or handles where these have some. So there are no entities but lines, polylines and
// splines, and nothing that a reader would load from elsewhere, such as a block of another drawing, an
// image or an embedded object.
func checkDXF(ctx context.Context, text []byte) error {
	known := dxfTags()
	for n := 0; len(text) > 0; n++ {
		if n%256 == 0 && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		code, rest, _ := bytes.Cut(text[:min(len(text), longestLine)], []byte("\n"))
		value, _, ended := bytes.Cut(rest, []byte("\n"))
		if !ended || !known.hold(code, value) {
			return errDXF
		}
		text = text[len(code)+len(value)+2:]
	}
	return nil
}

var errDXF = errors.New("it holds more than a drawing of lines and curves")

// dxfVocabulary is what stands in DXF files: texts with their group codes, and codes of numbers and of handles.
type dxfVocabulary struct {
	texts            map[string]bool // a code and a text, on two lines
	numbers, handles map[string]bool
}

// hold reports whether a tag may be one of a file's.
func (v *dxfVocabulary) hold(code, value []byte) bool {
	switch {
	case len(value) > 0 && v.numbers[string(code)] && only(string(value), dxfNumber):
		return true
	case len(value) > 0 && v.handles[string(code)]:
		return only(string(value), dxfHandle)
	}
	return v.texts[string(code)+"\n"+string(value)]
}

// Characters of numbers and of handles.
const (
	dxfNumber = "0123456789.-"
	dxfHandle = "0123456789ABCDEF"
)

// dxfTags are those of a drawing in which everything occurs that DXF writes.
var dxfTags = sync.OnceValue(func() *dxfVocabulary {
	d := drawing{width: toGrid(1), height: toGrid(1)}
	line, arc := segment{kind: geom.Line}, segment{kind: geom.Arc, to: node{toGrid(1), 0}, radius: 1}
	curve := segment{kind: geom.Cubic, to: node{toGrid(1), 0}}
	for _, k := range append(blank.Kinds(), "") {
		d.layers = append(d.layers, layer{kind: k, strokes: []stroke{
			{segments: []segment{line}}, {segments: []segment{arc, line}}, {segments: []segment{curve}},
		}})
	}
	v := &dxfVocabulary{texts: map[string]bool{}, numbers: map[string]bool{}, handles: map[string]bool{}}
	for _, code := range []string{"  5", "105", "330", "340", "350", "390"} {
		v.handles[code] = true
	}
	text, _ := d.dxf(context.Background()) // whose end is the only error there is
	for len(text) > 0 {
		code, rest, _ := bytes.Cut(text, []byte("\n"))
		value, after, _ := bytes.Cut(rest, []byte("\n"))
		switch {
		case v.handles[string(code)]:
		case len(value) > 0 && only(string(value), dxfNumber) && string(code) != "  8":
			v.numbers[string(code)] = true
		default:
			v.texts[string(code)+"\n"+string(value)] = true
		}
		text = after
	}
	return v
})
