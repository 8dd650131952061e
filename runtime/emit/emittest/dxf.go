package emittest

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// tag is one group of a DXF file.
type tag struct {
	code  int
	value string
}

// ParseDXF reads a cut DXF back, each entity as a stroke. It checks what a
// strict reader would: sections in order, handles unique and below $HANDSEED,
// owners and layers defined, millimetres.
func ParseDXF(data []byte) (Drawing, error) {
	tags, err := parseTags(string(data))
	if err != nil {
		return Drawing{}, fmt.Errorf("dxf: %w", err)
	}
	p := dxfParser{header: map[string][]tag{}, handles: map[string]bool{"0": true}}
	for _, step := range []func([]tag) error{p.sections, p.units, p.checkHandles, p.checkLayers, p.entities} {
		if err := step(tags); err != nil {
			return Drawing{}, fmt.Errorf("dxf: %w", err)
		}
	}
	return p.drawing, nil
}

func parseTags(text string) ([]tag, error) {
	if strings.Contains(text, "\r") {
		return nil, errors.New("mixed line ends")
	}
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if len(lines)%2 != 0 {
		return nil, fmt.Errorf("%d lines: a group lacks its value", len(lines))
	}
	tags := make([]tag, 0, len(lines)/2)
	for i := 0; i < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		}
		tags = append(tags, tag{code, lines[i+1]})
	}
	return tags, nil
}

type dxfParser struct {
	header  map[string][]tag
	parts   map[string][]tag // sections, without their frame
	handles map[string]bool
	layers  []string
	drawing Drawing
}

func (p *dxfParser) sections(tags []tag) error {
	p.parts = map[string][]tag{}
	var names []string
	for len(tags) > 2 && tags[0] == (tag{0, "SECTION"}) && tags[1].code == 2 {
		end := slices.Index(tags, tag{0, "ENDSEC"})
		if end < 0 {
			return errors.New("a section without an end")
		}
		names = append(names, tags[1].value)
		p.parts[tags[1].value] = tags[2:end]
		tags = tags[end+1:]
	}
	want := []string{"HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"}
	if !slices.Equal(names, want) || !slices.Equal(tags, []tag{{0, "EOF"}}) {
		return fmt.Errorf("sections are %v, then %v", names, tags)
	}
	return nil
}

// units reads the header: version, unit, extent.
func (p *dxfParser) units([]tag) error {
	name := ""
	for _, t := range p.parts["HEADER"] {
		if t.code == 9 {
			name = t.value
			continue
		}
		p.header[name] = append(p.header[name], t)
	}
	for name, want := range map[string]tag{"$ACADVER": {1, "AC1015"}, "$INSUNITS": {70, "4"}, "$MEASUREMENT": {70, "1"}} {
		if got := p.header[name]; len(got) != 1 || got[0] != want {
			return fmt.Errorf("%s is %v", name, got)
		}
	}
	for name := range p.header {
		if strings.HasPrefix(name, "$TD") || strings.Contains(name, "GUID") {
			return fmt.Errorf("%s differs from run to run", name)
		}
	}
	low, err := object(p.header["$EXTMIN"]).point(10)
	if err != nil || low != (geom.Point{}) {
		return fmt.Errorf("$EXTMIN is %v (%v)", low, err)
	}
	high, err := object(p.header["$EXTMAX"]).point(10)
	p.drawing.Width, p.drawing.Height = high.X, high.Y
	return err
}

// checkHandles wants every handle once, below the seed, and every reference
// to lead somewhere.
func (p *dxfParser) checkHandles(tags []tag) error {
	seed, err := strconv.ParseInt(object(p.header["$HANDSEED"]).text(5), 16, 64)
	if err != nil {
		return fmt.Errorf("$HANDSEED: %w", err)
	}
	body := tags[slices.Index(tags, tag{0, "ENDSEC"}):] // beyond the header
	for _, t := range body {
		if t.code != 5 && t.code != 105 {
			continue
		}
		h, err := strconv.ParseInt(t.value, 16, 64)
		if err != nil || h <= 0 || h >= seed || p.handles[t.value] {
			return fmt.Errorf("handle %s: repeated, or not below %X", t.value, seed)
		}
		p.handles[t.value] = true
	}
	for _, t := range body {
		if slices.Contains([]int{330, 340, 350, 390}, t.code) && !p.handles[t.value] {
			return fmt.Errorf("reference %d to %s leads nowhere", t.code, t.value)
		}
	}
	return nil
}

func (p *dxfParser) checkLayers([]tag) error {
	for _, o := range objects(p.parts["TABLES"]) {
		if o[0].value == "LAYER" {
			p.layers = append(p.layers, o.text(2))
		}
	}
	if len(p.layers) == 0 || p.layers[0] != "0" {
		return fmt.Errorf("layers are %v", p.layers)
	}
	return nil
}

func (p *dxfParser) entities([]tag) error {
	for _, name := range p.layers[1:] {
		p.drawing.Layers = append(p.drawing.Layers, blank.Layer{Kind: blank.Kind(name)})
	}
	for _, o := range objects(p.parts["ENTITIES"]) {
		s, err := o.stroke()
		if err != nil {
			return fmt.Errorf("%s %s: %w", o[0].value, o.text(5), err)
		}
		i := slices.Index(p.layers, o.text(8)) - 1
		if i < 0 {
			return fmt.Errorf("%s on layer %q", o[0].value, o.text(8))
		}
		p.drawing.Layers[i].Strokes = append(p.drawing.Layers[i].Strokes, s)
	}
	return nil
}

// object is the tags of one object, its kind first.
type object []tag

func objects(tags []tag) []object {
	var out []object
	for _, t := range tags {
		if t.code == 0 {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], t)
	}
	return out
}

// text is the first value under a code.
func (o object) text(code int) string {
	for _, t := range o {
		if t.code == code {
			return t.value
		}
	}
	return ""
}

func (o object) point(code int) (geom.Point, error) {
	x, errX := number(o.text(code), coordinate)
	y, errY := number(o.text(code+10), coordinate)
	return geom.Pt(x, y), errors.Join(errX, errY)
}

// points lists every place under a code.
func (o object) points(code int) ([]geom.Point, error) {
	var out []geom.Point
	for i := range o {
		if o[i].code == code {
			p, err := o[i:].point(code)
			if err != nil {
				return nil, err
			}
			out = append(out, p)
		}
	}
	return out, nil
}

func (o object) stroke() (blank.Stroke, error) {
	switch o[0].value {
	case "LINE":
		p, errP := o.point(10)
		q, errQ := o.point(11)
		return blank.Stroke{Curves: []geom.Curve{geom.LineFrom(p, q)}}, errors.Join(errP, errQ)
	case "SPLINE":
		return o.spline()
	case "LWPOLYLINE":
		return o.polyline()
	}
	return blank.Stroke{}, errors.New("not an entity of a cut file")
}

// spline reads a B-spline that is one Bézier curve: degree 3, four points,
// knots at the ends only.
func (o object) spline() (blank.Stroke, error) {
	var knots []string
	for _, t := range o {
		if t.code == 40 {
			knots = append(knots, strings.TrimRight(t.value, "0"))
		}
	}
	if o.text(71) != "3" || o.text(70) != "8" || strings.Join(knots, "") != "0.0.0.0.1.1.1.1." {
		return blank.Stroke{}, fmt.Errorf("degree %s, flags %s, knots %v", o.text(71), o.text(70), knots)
	}
	pts, err := o.points(10)
	if err == nil && len(pts) != 4 {
		err = fmt.Errorf("%d points", len(pts))
	}
	if err != nil {
		return blank.Stroke{}, err
	}
	return blank.Stroke{Curves: []geom.Curve{geom.CubicFrom(pts[0], pts[1], pts[2], pts[3])}}, nil
}

func (o object) polyline() (blank.Stroke, error) {
	pts, err := o.points(10)
	if err != nil {
		return blank.Stroke{}, err
	}
	if o.text(90) != strconv.Itoa(len(pts)) {
		return blank.Stroke{}, fmt.Errorf("%d vertices where %s are told", len(pts), o.text(90))
	}
	bulges, err := o.bulges(len(pts))
	if err != nil {
		return blank.Stroke{}, err
	}
	s := blank.Stroke{Closed: o.text(70) == "1"}
	n := len(pts)
	if !s.Closed {
		n--
	}
	for i := range n {
		s.Curves = append(s.Curves, byBulge(pts[i], pts[(i+1)%len(pts)], bulges[i]))
	}
	return s, nil
}

// bulges gives each vertex's bulge, which follows its vertex.
func (o object) bulges(n int) ([]float64, error) {
	out, at := make([]float64, n), -1
	for _, t := range o {
		switch t.code {
		case 10:
			at++
		case 42:
			b, err := number(t.value, fineNumber)
			if err != nil || at < 0 {
				return nil, fmt.Errorf("bulge %s at vertex %d (%v)", t.value, at, err)
			}
			out[at] = b
		}
	}
	return out, nil
}

// byBulge is the segment of a polyline: the bulge is tan(angle / 4), positive
// to the left, and 0 is a line (DXF reference, VERTEX); the radius is
// chord·(1 + b²)/(4|b|).
func byBulge(p, q geom.Point, b float64) geom.Curve {
	if b == 0 {
		return geom.LineFrom(p, q)
	}
	r := p.Dist(q) * (1 + b*b) / (4 * math.Abs(b))
	sweep := 4 * math.Atan(b)
	// The centre lies left of the chord's middle by r·cos(sweep/2), to the
	// right for a turn to the right.
	height := math.Copysign(r*math.Cos(sweep/2), b)
	centre := p.Lerp(q, 0.5).Add(q.Sub(p).Unit().Left().Mul(height))
	c := geom.ArcBetween(p, q, centre, geom.Radians(sweep))
	c.R = r
	return c
}
