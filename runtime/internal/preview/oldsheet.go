package preview

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/creasewright/creasewright/runtime/geom"
)

// oldSheet is a sheet drawn before, read back from its file. Anyone may have
// written that file, so nothing is taken over but what this package writes:
// known elements with known attributes whose values have a known form.
type oldSheet struct {
	size   geom.Point
	tokens []xml.Token // the drawing's group and all in it
}

// Limits of a sheet worth reading back.
const (
	mostOldBytes = 32 << 20
	mostOldDepth = 32
	mostOldSide  = 1e5 // mm
)

// readSheet reads a sheet of either sort; ok is false for anything else and
// once the context has ended.
func readSheet(ctx context.Context, file []byte) (s *oldSheet, ok bool) {
	if len(file) == 0 || len(file) > mostOldBytes {
		return nil, false
	}
	s = &oldSheet{}
	d := xml.NewDecoder(bytes.NewReader(file))
	root, err := firstElement(d)
	if err != nil {
		return nil, false
	}
	fresh, ok := s.readRoot(root)
	if !ok || s.readDrawing(ctx, d, fresh) != nil {
		return nil, false
	}
	return s, true
}

// firstElement reads up to the document's root element.
func firstElement(d *xml.Decoder) (xml.StartElement, error) {
	for {
		t, err := d.Token()
		if err != nil {
			return xml.StartElement{}, err
		}
		if e, ok := t.(xml.StartElement); ok {
			return e, nil
		}
	}
}

// readRoot takes the page's size, and whether the drawing is in its colours
// still.
func (s *oldSheet) readRoot(root xml.StartElement) (fresh, ok bool) {
	if root.Name.Local != "svg" {
		return false, false
	}
	sort := ""
	for _, a := range root.Attr {
		switch a.Name.Local {
		case marker:
			sort = a.Value
		case "viewBox":
			var x, y float64
			if n, err := fmt.Sscanf(a.Value, "%g %g %g %g", &x, &y, &s.size.X, &s.size.Y); n != 4 || err != nil || x != 0 || y != 0 {
				return false, false
			}
		}
	}
	inRange := func(v float64) bool { return v > 2*margin && v < mostOldSide }
	return sort == "sheet", (sort == "sheet" || sort == "fault") && inRange(s.size.X) && inRange(s.size.Y)
}

// readDrawing copies the group called drawing.
func (s *oldSheet) readDrawing(ctx context.Context, d *xml.Decoder, fresh bool) error {
	depth := 0
	for i := 0; ; i++ {
		if ended(ctx, i) {
			return context.Cause(ctx)
		}
		t, err := d.Token()
		if err != nil {
			return err // among them the end of a file without a drawing
		}
		switch t := t.(type) {
		case xml.StartElement:
			if depth == 0 && !isDrawing(t) {
				continue
			}
			if t, err = vetted(t, fresh); err != nil {
				return err
			}
			if depth++; depth > mostOldDepth {
				return io.ErrUnexpectedEOF
			}
			s.tokens = append(s.tokens, t)
		case xml.EndElement:
			if depth == 0 {
				continue
			}
			s.tokens = append(s.tokens, t)
			if depth--; depth == 0 {
				return nil
			}
		case xml.CharData:
			if depth > 0 {
				s.tokens = append(s.tokens, t.Copy())
			}
		}
	}
}

// isDrawing reports whether an element is the group that holds the drawing.
func isDrawing(e xml.StartElement) bool {
	return e.Name.Local == "g" && slices.ContainsFunc(e.Attr, func(a xml.Attr) bool {
		return a.Name.Local == "id" && a.Value == "drawing"
	})
}

// oldElements are the elements of a drawing.
var oldElements = []string{"g", "path", "rect", "circle", "text", "defs", "pattern"}

// oldForm is the form that the values of some attributes have.
type oldForm struct {
	form  *regexp.Regexp
	names []string
}

// oldForms gives the attributes of a drawing the form their values have. They
// are compiled when a drawing is first read, not at every start.
var oldForms = sync.OnceValue(func() []oldForm {
	return []oldForm{
		{regexp.MustCompile(`^-?[0-9.]+$`), []string{"x", "y", "width", "height", "cx", "cy", "r", "font-size", "stroke-width"}},
		{regexp.MustCompile(`^[0-9. ]+$`), []string{"stroke-dasharray"}},
		{regexp.MustCompile(`^(#[0-9A-F]{6}|none|url\(#hatch(-inside)?\))$`), []string{"fill", "stroke"}},
		{regexp.MustCompile(`^[a-zA-Z-]+$`), []string{"id", "class", "font-weight", "text-anchor", "fill-rule",
			"stroke-linejoin", "stroke-linecap", "patternUnits", "space"}},
		{regexp.MustCompile(`^[a-zA-Z ,'-]+$`), []string{"font-family"}},
		{regexp.MustCompile(`^[MLACZ0-9. -]+$`), []string{"d"}},
		{regexp.MustCompile(`^[a-z0-9(). -]+$`), []string{"transform", "patternTransform"}},
	}
})

// known reports whether this package might have written the attribute.
func known(a xml.Attr) bool {
	for _, f := range oldForms() {
		if slices.Contains(f.names, a.Name.Local) {
			return f.form.MatchString(a.Value)
		}
	}
	return false
}

// vetted is the element without name spaces, greyed if it is fresh; an error
// when it is none of ours.
func vetted(e xml.StartElement, fresh bool) (xml.StartElement, error) {
	if !slices.Contains(oldElements, e.Name.Local) {
		return e, fmt.Errorf("element %s", e.Name.Local)
	}
	out := xml.StartElement{Name: xml.Name{Local: e.Name.Local}}
	seen := map[string]bool{} // the decoder lets an attribute come twice
	for _, a := range e.Attr {
		if !known(a) || seen[a.Name.Local] {
			return e, fmt.Errorf("attribute %s", a.Name.Local)
		}
		seen[a.Name.Local] = true
		if fresh && (a.Name.Local == "fill" || a.Name.Local == "stroke") {
			a.Value = faded(a.Value)
		}
		name := a.Name.Local
		if name == "space" {
			name = "xml:space"
		}
		out.Attr = append(out.Attr, xml.Attr{Name: xml.Name{Local: name}, Value: a.Value})
	}
	return out, nil
}

// fade is how much of a colour's darkness is left.
const fade = 0.4

// faded turns a colour to a pale grey of its lightness (weights of ITU-R
// BT.709).
func faded(colour string) string {
	v, err := strconv.ParseUint(strings.TrimPrefix(colour, "#"), 16, 24)
	if err != nil {
		return colour // "none" and the hatching
	}
	light := float64(0.2126*float64(v>>16)) + float64(0.7152*float64(v>>8&0xFF)) + float64(0.0722*float64(v&0xFF))
	g := int(math.Round(255 - float64((255-light)*fade)))
	return fmt.Sprintf("#%02X%02X%02X", g, g, g)
}

// write puts the drawing into a new sheet, as far as the context lets it.
func (s *oldSheet) write(ctx context.Context, w *writer) {
	for i, t := range s.tokens {
		if ended(ctx, i) {
			return
		}
		switch t := t.(type) {
		case xml.StartElement:
			w.start(t.Name.Local)
			for _, a := range t.Attr {
				w.attr(a.Name.Local, a.Value)
			}
			w.buf.WriteByte('>')
		case xml.EndElement:
			w.buf.WriteString("</" + t.Name.Local + ">")
		case xml.CharData:
			w.chars(string(t))
		}
	}
	w.buf.WriteByte('\n')
}
