package emittest

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// How the contract has coordinates and radii written: always with a point,
// never an exponent, never −0.
var (
	coordinate = regexp.MustCompile(`^-?[0-9]+\.[0-9]{4}$`)
	fineNumber = regexp.MustCompile(`^-?[0-9]+\.[0-9]{9}$`)
	minusZero  = regexp.MustCompile(`^-0\.0*$`)
)

// ParseSVG reads a cut SVG back. It is strict: an element, attribute or path
// command the contract does not name is an error, and so is a number written
// another way.
func ParseSVG(data []byte) (Drawing, error) {
	p := svgParser{dec: xml.NewDecoder(bytes.NewReader(data))}
	if err := p.document(); err != nil {
		return Drawing{}, fmt.Errorf("svg: %w", err)
	}
	return p.drawing, nil
}

type svgParser struct {
	dec     *xml.Decoder
	drawing Drawing
	inGroup bool
}

func (p *svgParser) document() error {
	for {
		token, err := p.dec.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		switch token := token.(type) {
		case xml.StartElement:
			err = p.element(token)
		case xml.CharData:
			if s := strings.TrimSpace(string(token)); s != "" {
				err = fmt.Errorf("text %q", s)
			}
		case xml.Comment, xml.Directive:
			err = fmt.Errorf("a comment or directive")
		}
		if err != nil {
			return err
		}
	}
}

func (p *svgParser) element(e xml.StartElement) error {
	allowed := map[string]string{"svg": "xmlns width height viewBox", "g": "id fill stroke stroke-width", "path": "d"}
	names, ok := allowed[e.Name.Local]
	if !ok {
		return fmt.Errorf("element %q", e.Name.Local)
	}
	attrs := map[string]string{}
	for _, a := range e.Attr {
		attrs[a.Name.Local] = a.Value
	}
	for _, name := range strings.Fields(names) {
		if attrs[name] == "" {
			return fmt.Errorf("%s lacks %s", e.Name.Local, name)
		}
		delete(attrs, name)
	}
	if len(attrs) > 0 {
		return fmt.Errorf("%s has more attributes: %v", e.Name.Local, attrs)
	}
	return p.read(e)
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (p *svgParser) read(e xml.StartElement) error {
	switch e.Name.Local {
	case "svg":
		return p.size(attr(e, "width"), attr(e, "height"), attr(e, "viewBox"))
	case "g":
		if p.inGroup {
			return errors.New("a group without a path")
		}
		p.inGroup = true
		p.drawing.Layers = append(p.drawing.Layers, blank.Layer{Kind: blank.Kind(attr(e, "id"))})
		return nil
	}
	if !p.inGroup {
		return errors.New("a second path in its group")
	}
	p.inGroup = false
	return p.path(attr(e, "d"))
}

func (p *svgParser) size(width, height, viewBox string) error {
	w, okW := strings.CutSuffix(width, "mm")
	h, okH := strings.CutSuffix(height, "mm")
	if !okW || !okH || viewBox != "0 0 "+w+" "+h {
		return fmt.Errorf("size %s × %s with viewBox %s", width, height, viewBox)
	}
	var err error
	if p.drawing.Width, err = number(w, coordinate); err != nil {
		return err
	}
	p.drawing.Height, err = number(h, coordinate)
	return err
}

func number(s string, form *regexp.Regexp) (float64, error) {
	if !form.MatchString(s) || minusZero.MatchString(s) {
		return 0, fmt.Errorf("number %q is not written as agreed", s)
	}
	return strconv.ParseFloat(s, 64)
}

// pathReader turns path data into strokes.
type pathReader struct {
	words  []string
	height float64
	at     geom.Point
	start  geom.Point
	out    []blank.Stroke
}

func (p *svgParser) path(d string) error {
	r := pathReader{words: strings.Fields(d), height: p.drawing.Height}
	for len(r.words) > 0 {
		command := r.words[0]
		r.words = r.words[1:]
		if err := r.command(command); err != nil {
			return fmt.Errorf("command %s: %w", command, err)
		}
	}
	p.drawing.Layers[len(p.drawing.Layers)-1].Strokes = r.out
	return nil
}

// operands is how many places follow a command; an arc's radius and flags come
// before its one.
var operands = map[string]int{"M": 1, "L": 1, "C": 3, "A": 1, "Z": 0}

func (r *pathReader) command(command string) error {
	n, ok := operands[command]
	if !ok {
		return errors.New("not one of M L A C Z")
	}
	if command != "M" && (len(r.out) == 0 || r.out[len(r.out)-1].Closed) {
		return errors.New("outside a subpath")
	}
	radius := 0.0
	if command == "A" {
		var err error
		if radius, err = r.radius(); err != nil {
			return err
		}
	}
	pts, err := r.points(n)
	if err != nil {
		return err
	}
	r.draw(command, pts, radius)
	return nil
}

func (r *pathReader) draw(command string, pts []geom.Point, radius float64) {
	switch command {
	case "M":
		r.at, r.start = pts[0], pts[0]
		r.out = append(r.out, blank.Stroke{})
	case "L":
		r.add(geom.LineFrom(r.at, pts[0]))
	case "A":
		r.add(arcByRadius(r.at, pts[0], radius))
	case "C":
		r.add(geom.CubicFrom(r.at, pts[0], pts[1], pts[2]))
	case "Z":
		if r.at != r.start {
			r.add(geom.LineFrom(r.at, r.start))
		}
		r.out[len(r.out)-1].Closed = true
	}
}

func (r *pathReader) add(c geom.Curve) {
	last := &r.out[len(r.out)-1]
	last.Curves = append(last.Curves, c)
	r.at = c.Q
}

func (r *pathReader) take(n int) ([]string, error) {
	if len(r.words) < n {
		return nil, errors.New("too few numbers")
	}
	words := r.words[:n]
	r.words = r.words[n:]
	return words, nil
}

// points reads n places and turns y up.
func (r *pathReader) points(n int) ([]geom.Point, error) {
	words, err := r.take(2 * n)
	if err != nil {
		return nil, err
	}
	out := make([]geom.Point, n)
	for i := range out {
		x, errX := number(words[2*i], coordinate)
		y, errY := number(words[2*i+1], coordinate)
		if err := errors.Join(errX, errY); err != nil {
			return nil, err
		}
		// Whole ten-thousandths, so that ends that agree in the file agree here.
		out[i] = geom.Pt(x, math.Round((r.height-y)*1e4)/1e4)
	}
	return out, nil
}

// radius reads an arc's radii and flags and gives the radius, positive for a
// turn to the left.
func (r *pathReader) radius() (float64, error) {
	words, err := r.take(5)
	if err != nil {
		return 0, err
	}
	radius, err := number(words[0], fineNumber)
	if err != nil {
		return 0, err
	}
	if words[1] != words[0] || words[2] != "0" || words[3] != "0" {
		return 0, fmt.Errorf("arc with %v is not a circle's, up to a quarter", words)
	}
	// Sweep 1 is toward growing angles with y down: a turn to the right.
	switch words[4] {
	case "0":
		return radius, nil
	case "1":
		return -radius, nil
	}
	return 0, fmt.Errorf("sweep flag %s", words[4])
}

// arcByRadius is the smaller arc between two points (SVG 1.1, F.6.5), turning
// left for a positive radius. A radius that just fails to reach is taken as
// half the chord, as F.6.6 asks.
func arcByRadius(p, q geom.Point, radius float64) geom.Curve {
	half := p.Dist(q) / 2
	r := math.Max(math.Abs(radius), half)
	sweep := math.Copysign(2*math.Asin(half/r), radius)
	height := math.Copysign(math.Sqrt(r*r-half*half), radius)
	centre := p.Lerp(q, 0.5).Add(q.Sub(p).Unit().Left().Mul(height))
	return geom.ArcBetween(p, q, centre, geom.Radians(sweep))
}
