package preview

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// sheetRead is a sheet read back from its bytes, in page coordinates: what an
// outsider can see, without a look at how it was placed.
type sheetRead struct {
	width, height float64
	texts         []textRead
	strokes       []strokeRead
	discs         []tile         // round finding numbers
	groups        map[string]int // how often each class occurs
	ids           map[string]bool
	attrs         map[string]string // of the root
}

type textRead struct {
	text  string
	size  float64 // of the type
	tile  tile
	class []string // of the groups it stands in, outermost first
	nth   [2]int   // how many cells and folded pictures had begun
}

type strokeRead struct {
	segs  []segment
	class []string
	kv    map[string]string
	nth   [2]int
}

// readBack parses a sheet; anything but well-formed XML with numbers where they
// belong fails the test.
func readBack(t testing.TB, svg []byte) *sheetRead {
	t.Helper()
	r := &reader{t: t, out: &sheetRead{groups: map[string]int{}, ids: map[string]bool{}}}
	d := xml.NewDecoder(bytes.NewReader(svg))
	d.Strict = true
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return r.out
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			r.start(tok)
		case xml.EndElement:
			r.end(tok)
		case xml.CharData:
			if r.open != nil {
				r.open.text += string(tok)
			}
		}
	}
}

type reader struct {
	t     testing.TB
	out   *sheetRead
	stack []level
	open  *textRead
	setAt func() // completes the open text
}

type level struct {
	class string
	shift geom.Point
	inDef bool
}

func (r *reader) top() level {
	if len(r.stack) == 0 {
		return level{}
	}
	return r.stack[len(r.stack)-1]
}

// nth is how many cells and folded pictures have begun.
func (r *reader) nth() [2]int { return [2]int{r.out.groups["cell"], r.out.groups["folded"]} }

func (r *reader) classes() []string {
	var out []string
	for _, l := range r.stack {
		if l.class != "" {
			out = append(out, l.class)
		}
	}
	return out
}

func (r *reader) start(e xml.StartElement) {
	kv := map[string]string{}
	for _, a := range e.Attr {
		kv[a.Name.Local] = a.Value
	}
	l := r.top()
	l.class = kv["class"]
	if l.class != "" {
		r.out.groups[l.class]++
	}
	if id := kv["id"]; id != "" {
		if r.out.ids[id] {
			r.t.Errorf("two elements are called %s", id)
		}
		r.out.ids[id] = true
	}
	switch e.Name.Local {
	case "svg":
		r.out.attrs = kv
		_, err := fmt.Sscanf(kv["viewBox"], "0 0 %g %g", &r.out.width, &r.out.height)
		if err != nil {
			r.t.Fatal(err)
		}
	case "defs":
		l.inDef = true
	case "g":
		if m := kv["transform"]; strings.HasPrefix(m, "translate(") {
			var x, y float64
			if _, err := fmt.Sscanf(m, "translate(%g %g)", &x, &y); err != nil {
				r.t.Fatalf("%s: %v", m, err)
			}
			l.shift = l.shift.Add(geom.Pt(x, y))
		}
	case "text":
		r.startText(kv, l)
	case "path":
		r.path(kv, l)
	case "rect":
		r.number(kv, "x", "y", "width", "height")
	case "circle":
		n := r.number(kv, "cx", "cy", "r")
		if n[2] == discRadius+haloWidth && in(r.classes(), "mark") {
			p := geom.Pt(n[0], n[1]).Add(l.shift)
			r.out.discs = append(r.out.discs, tile{p, geom.Pt(1, 0), discRadius, discRadius})
		}
	}
	r.stack = append(r.stack, l)
}

func (r *reader) end(e xml.EndElement) {
	if e.Name.Local == "text" {
		r.setAt()
		r.out.texts = append(r.out.texts, *r.open)
		r.open = nil
	}
	r.stack = r.stack[:len(r.stack)-1]
}

func (r *reader) number(kv map[string]string, names ...string) []float64 {
	var out []float64
	for _, n := range names {
		v, err := strconv.ParseFloat(kv[n], 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			r.t.Fatalf("%s = %q", n, kv[n])
		}
		out = append(out, v)
	}
	return out
}

// startText notes where the text goes; its width is known at its end.
func (r *reader) startText(kv map[string]string, l level) {
	n := r.number(kv, "x", "y", "font-size")
	angle := 0.0
	if m := kv["transform"]; m != "" {
		var x, y float64
		if _, err := fmt.Sscanf(m, "rotate(%g %g %g)", &angle, &x, &y); err != nil || math.Hypot(x-n[0], y-n[1]) > 1e-9 {
			r.t.Fatalf("%s does not turn about the text's place", m)
		}
	}
	r.open = &textRead{class: r.classes(), size: n[2], nth: r.nth()}
	r.setAt = func() {
		f := font{n[2], kv["font-weight"] == "bold"}
		sin, cos := math.Sincos(angle * math.Pi / 180)
		along := geom.Pt(cos, sin)
		width := f.width(r.open.text)
		mid := geom.Pt(n[0], n[1]).Add(l.shift).Add(along.Left().Mul(-f.size * capHeight / 2))
		switch kv["text-anchor"] {
		case "":
			mid = mid.Add(along.Mul(width / 2))
		case "end":
			mid = mid.Add(along.Mul(-width / 2))
		}
		// Capitals and ascenders above, descenders below.
		r.open.tile = tile{mid, along, width / 2, f.size * 0.5}
	}
}

// path reads absolute M, L, A, C and Z; curves become short strokes.
func (r *reader) path(kv map[string]string, l level) {
	s := strokeRead{class: append(r.classes(), kv["class"]), kv: kv, nth: r.nth()}
	for _, c := range parsePath(r.t, kv["d"]) {
		for _, seg := range appendStrokes(nil, c) {
			s.segs = append(s.segs, segment{seg.a.Add(l.shift), seg.b.Add(l.shift)})
		}
	}
	if !l.inDef {
		r.out.strokes = append(r.out.strokes, s)
	}
}

// parsePath reads path data as this package writes it back into curves.
func parsePath(t testing.TB, d string) []geom.Curve {
	t.Helper()
	var out []geom.Curve
	var at, home geom.Point
	for len(d) > 0 {
		end := strings.IndexAny(d[1:], "MLACZ") + 1
		if end == 0 {
			end = len(d)
		}
		var n []float64
		for _, f := range strings.Fields(d[1:end]) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatalf("path data %q: %v", d[:end], err)
			}
			n = append(n, v)
		}
		pt := func(i int) geom.Point { return geom.Pt(n[i], n[i+1]) }
		switch want := map[byte]int{'M': 2, 'L': 2, 'A': 7, 'C': 6, 'Z': 0}[d[0]]; {
		case len(n) != want:
			t.Fatalf("path data %q has %d numbers, want %d", d[:end], len(n), want)
		case d[0] == 'M':
			at, home = pt(0), pt(0)
		case d[0] == 'L':
			out, at = append(out, geom.LineFrom(at, pt(0))), pt(0)
		case d[0] == 'A':
			c, err := geom.ArcRadius(at, pt(5), math.Copysign(n[0], n[4]-0.5))
			if err != nil || n[3] != 0 {
				t.Fatalf("path data %q: %v", d[:end], err)
			}
			out, at = append(out, c), pt(5)
		case d[0] == 'C':
			out, at = append(out, geom.CubicFrom(at, pt(0), pt(2), pt(4))), pt(4)
		case d[0] == 'Z':
			if at.Dist(home) > 1e-9 {
				out = append(out, geom.LineFrom(at, home))
			}
			at = home
		}
		d = d[end:]
	}
	return out
}

// in reports whether the classes hold one of the names.
func in(classes []string, names ...string) bool {
	for _, c := range classes {
		for _, n := range names {
			if c == n {
				return true
			}
		}
	}
	return false
}
