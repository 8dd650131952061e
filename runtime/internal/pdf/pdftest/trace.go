package pdftest

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"os/exec"
	"regexp"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Trace has MuPDF (mutool of Debian) interpret a file and gives the strokes of every page as
// it understood them: layer, spot colour, overprint and geometry in mm of the page. It
// shares nothing with Read. MuPDF works in single precision, some 1e-4 mm on a metre.
func Trace(t testing.TB, file string) [][]Mark {
	t.Helper()
	out, err := exec.Command("mutool", "draw", "-q", "-N", "-F", "trace", file).Output()
	if err != nil {
		t.Fatal(err)
	}
	pages, err := readTrace(out)
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

// tracer is what a trace has said so far.
type tracer struct {
	pages  [][]Mark
	height float64 // of the page, points
	layer  string
	matrix [6]float64
	mark   *Mark
	at     geom.Point
}

func readTrace(trace []byte) ([][]Mark, error) {
	r := &tracer{}
	d := xml.NewDecoder(bytes.NewReader(trace))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return r.pages, nil
		} else if err != nil {
			return nil, err
		}
		switch e := token.(type) {
		case xml.StartElement:
			err = r.begin(e)
		case xml.EndElement:
			if e.Name.Local == "stroke_path" {
				last := len(r.pages) - 1
				r.pages[last], r.mark = append(r.pages[last], *r.mark), nil
			}
		}
		if err != nil {
			return nil, err
		}
	}
}

var tracedInk = regexp.MustCompile(`^Separation\(Device(?:CMYK|RGB),([a-z-]+)\)$`)

func (r *tracer) begin(e xml.StartElement) error {
	a := map[string]string{}
	for _, attr := range e.Attr {
		a[attr.Name.Local] = attr.Value
	}
	// numbers reads an attribute of several numbers, or several of one.
	numbers := func(names string, to ...any) error {
		text, ok := a[names]
		if !ok {
			for name := range strings.FieldsSeq(names) {
				text += a[name] + " "
			}
		}
		if _, err := fmt.Sscan(text, to...); err != nil {
			return fmt.Errorf("%s %v: %w", e.Name.Local, e.Attr, err)
		}
		return nil
	}
	var x, y, cx, cy, dx, dy float64
	switch e.Name.Local {
	case "page":
		r.pages = append(r.pages, nil)
		return numbers("mediabox", &x, &y, &dx, &r.height)
	case "layer":
		r.layer = a["name"]
	case "end_layer":
		r.layer = ""
	case "stroke_path":
		m := &r.matrix
		r.mark = &Mark{Layer: r.layer, Overprint: a["op"] == "1"}
		if ink := tracedInk.FindStringSubmatch(a["colorspace"]); ink != nil {
			r.mark.Ink = ink[1]
		}
		return numbers("transform", &m[0], &m[1], &m[2], &m[3], &m[4], &m[5])
	}
	if r.mark == nil {
		return nil
	}
	switch e.Name.Local {
	case "moveto":
		if err := numbers("x y", &x, &y); err != nil {
			return err
		}
		r.mark.Paths, r.at = append(r.mark.Paths, Path{}), r.place(x, y)
		return nil
	case "lineto":
		if err := numbers("x y", &x, &y); err != nil {
			return err
		}
		r.add(geom.LineFrom(r.at, r.place(x, y)))
	case "curveto":
		if err := numbers("x1 y1 x2 y2 x3 y3", &cx, &cy, &dx, &dy, &x, &y); err != nil {
			return err
		}
		r.add(geom.CubicFrom(r.at, r.place(cx, cy), r.place(dx, dy), r.place(x, y)))
	case "closepath":
		p := &r.mark.Paths[len(r.mark.Paths)-1]
		if start := p.Curves[0].P; r.at != start {
			r.add(geom.LineFrom(r.at, start))
		}
		p.Closed = true
	}
	return nil
}

// add goes on with the last path.
func (r *tracer) add(c geom.Curve) {
	p := &r.mark.Paths[len(r.mark.Paths)-1]
	p.Curves, r.at = append(p.Curves, c), c.Q
}

// place is a point in mm of the page, y up; MuPDF's pages have y down.
func (r *tracer) place(x, y float64) geom.Point {
	q := apply(r.matrix, x, y)
	return geom.Pt(q.X, r.height-q.Y).Mul(1 / pointsPerMM)
}
