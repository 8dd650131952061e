package pdftest

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// resources are what a content names.
type resources struct {
	layers, inks map[string]string
	overprint    map[string]bool
	fonts        map[string]*font
}

func (f *File) readResources(o *objects, d dict, names map[reference]string) (*resources, error) {
	r := &resources{map[string]string{}, map[string]string{}, map[string]bool{}, map[string]*font{}}
	for key, v := range o.dict(d["Properties"]) {
		ref, _ := v.(reference)
		if names[ref] == "" {
			return nil, fmt.Errorf("the layer %v", v)
		}
		r.layers[key] = names[ref]
	}
	for key, v := range o.dict(d["ColorSpace"]) {
		space := o.list(v)
		if len(space) != 4 || space[0] != name("Separation") {
			return nil, fmt.Errorf("the colour space %v", space)
		}
		ink, _ := space[1].(name)
		tint := o.dict(space[3])
		parts := map[any]int{name("DeviceCMYK"): 4, name("DeviceRGB"): 3}[space[2]]
		full := o.list(tint["C1"])
		if tint["FunctionType"] != 2.0 || tint["N"] != 1.0 || len(full) != parts || len(o.list(tint["C0"])) != parts || parts == 0 {
			return nil, fmt.Errorf("the tint %v", tint)
		}
		f.Inks[string(ink)] = nil
		for _, part := range full {
			p, _ := part.(float64)
			f.Inks[string(ink)] = append(f.Inks[string(ink)], p)
		}
		r.inks[key] = string(ink)
	}
	for key, v := range o.dict(d["ExtGState"]) {
		g := o.dict(v)
		r.overprint[key] = g["OP"] == true && g["op"] == true && g["OPM"] == 1.0
	}
	for key, v := range o.dict(d["Font"]) {
		font, err := readFont(o, o.dict(v))
		if err != nil {
			return nil, err
		}
		r.fonts[key] = font
		if !slices.Contains(f.Fonts, font.name) {
			f.Fonts = append(f.Fonts, font.name)
		}
	}
	slices.Sort(f.Fonts)
	return r, nil
}

// state is the graphics state.
type state struct {
	matrix             [6]float64
	strokeInk, fillInk string // "" where it is RGB
	strokeRGB, fillRGB [3]float64
	overprint          bool
	width              float64
	dash               []float64
	window             geom.Box
	font               *font
	fontSize           float64
	text               [6]float64
}

// interpreter runs the operators of one page.
type interpreter struct {
	*resources
	page  *Page
	scale float64 // from units of the page to mm

	state
	saved []state
	open  []any // open BDC (a layer's name) and q (nil), the innermost last
	layer string
	paths []Path
	at    geom.Point
	clips bool // W has been seen
	texts bool // within BT and ET
	args  []any
}

// operators are the numbers of arguments of every operator that may occur.
var operators = map[operator]int{
	"cm": 6, "q": 0, "Q": 0, "BDC": 2, "EMC": 0, "gs": 1, "CS": 1, "cs": 1, "SCN": 1, "scn": 1, "RG": 3, "rg": 3,
	"w": 1, "d": 2, "J": 1, "j": 1, "m": 2, "l": 2, "c": 6, "h": 0, "S": 0, "f": 0, "re": 4, "W": 0, "n": 0,
	"BT": 0, "ET": 0, "Tf": 2, "Tm": 6, "Tj": 1,
}

func (c *interpreter) run(data []byte) error {
	c.matrix = [6]float64{1, 0, 0, 1, 0, 0}
	c.window = geom.EmptyBox()
	s := scanner{rest: data}
	for {
		if s.space(); len(s.rest) == 0 {
			break
		}
		v, err := s.value()
		if err != nil {
			return err
		}
		op, ok := v.(operator)
		if !ok {
			c.args = append(c.args, v)
			continue
		}
		if n, known := operators[op]; !known || n != len(c.args) {
			return fmt.Errorf("%v %s", c.args, op)
		}
		if err := c.do(op); err != nil {
			return fmt.Errorf("%v %s: %w", c.args, op, err)
		}
		c.args = nil
	}
	if len(c.open) > 0 || len(c.paths) > 0 || c.texts || len(c.args) > 0 {
		return fmt.Errorf("the content ends within something")
	}
	return nil
}

// num is an argument that is a number.
func (c *interpreter) num(i int) float64 {
	v, ok := c.args[i].(float64)
	if !ok {
		return math.NaN()
	}
	return v
}

func (c *interpreter) name(i int) string {
	n, _ := c.args[i].(name)
	return string(n)
}

// placed is a point of the arguments in mm of the page.
func (c *interpreter) placed(i int) geom.Point {
	return apply(c.matrix, c.num(i), c.num(i+1)).Mul(c.scale)
}

func apply(m [6]float64, x, y float64) geom.Point {
	return geom.Pt(m[0]*x+m[2]*y+m[4], m[1]*x+m[3]*y+m[5])
}

// times is the matrix that applies m first and then n.
func times(m, n [6]float64) (out [6]float64) {
	for i := 0; i < 6; i += 2 {
		p := apply([6]float64{n[0], n[1], n[2], n[3]}, m[i], m[i+1])
		out[i], out[i+1] = p.X, p.Y
	}
	out[4], out[5] = out[4]+n[4], out[5]+n[5]
	return out
}

func (c *interpreter) do(op operator) error {
	switch op {
	case "q":
		c.saved, c.open = append(c.saved, c.state), append(c.open, nil)
	case "Q", "EMC":
		return c.end(op == "Q")
	case "BDC":
		l := c.layers[c.name(1)]
		if c.name(0) != "OC" || l == "" || c.layer != "" {
			return fmt.Errorf("within %q", c.layer)
		}
		c.layer, c.open = l, append(c.open, l)
	case "cm":
		c.matrix = times([6]float64{c.num(0), c.num(1), c.num(2), c.num(3), c.num(4), c.num(5)}, c.matrix)
	case "gs":
		over, ok := c.resources.overprint[c.name(0)]
		if !ok {
			return fmt.Errorf("no such state")
		}
		c.state.overprint = over
	case "CS", "cs":
		ink := c.inks[c.name(0)]
		if ink == "" {
			return fmt.Errorf("no such colour")
		}
		if op == "CS" {
			c.strokeInk = ink
		} else {
			c.fillInk = ink
		}
	case "SCN", "scn":
		if c.num(0) != 1 {
			return fmt.Errorf("not the full ink")
		}
	case "RG":
		c.strokeInk, c.strokeRGB = "", [3]float64{c.num(0), c.num(1), c.num(2)}
	case "rg":
		c.fillInk, c.fillRGB = "", [3]float64{c.num(0), c.num(1), c.num(2)}
	case "w":
		c.width = c.num(0) * math.Hypot(c.matrix[0], c.matrix[1]) * c.scale
	case "d":
		c.dash = nil
		list, _ := c.args[0].([]any)
		for _, v := range list {
			d, _ := v.(float64)
			c.dash = append(c.dash, d*math.Hypot(c.matrix[0], c.matrix[1])*c.scale)
		}
	case "J", "j":
	case "BT", "ET", "Tf", "Tm", "Tj":
		return c.write(op)
	default:
		return c.draw(op)
	}
	return nil
}

// end closes the innermost q or BDC, whichever it is.
func (c *interpreter) end(saved bool) error {
	last := len(c.open) - 1
	if last < 0 || (c.open[last] == nil) != saved {
		return fmt.Errorf("nothing of that kind is open")
	}
	c.open = c.open[:last]
	if !saved {
		c.layer = ""
		return nil
	}
	c.state, c.saved = c.saved[len(c.saved)-1], c.saved[:len(c.saved)-1]
	return nil
}

// draw builds and paints paths.
func (c *interpreter) draw(op operator) error {
	var path *Path
	if len(c.paths) > 0 {
		path = &c.paths[len(c.paths)-1]
	}
	switch op {
	case "m":
		c.at = c.placed(0)
		c.paths = append(c.paths, Path{})
		return nil
	case "re":
		p, q := c.placed(0), apply(c.matrix, c.num(0)+c.num(2), c.num(1)+c.num(3)).Mul(c.scale)
		b := geom.BoxOf(p, q)
		a, d := geom.Pt(b.Max.X, b.Min.Y), geom.Pt(b.Min.X, b.Max.Y)
		c.paths = append(c.paths, Path{[]geom.Curve{
			geom.LineFrom(b.Min, a), geom.LineFrom(a, b.Max), geom.LineFrom(b.Max, d), geom.LineFrom(d, b.Min),
		}, true})
		return nil
	}
	if path == nil {
		return fmt.Errorf("no path")
	}
	switch op {
	case "l", "c":
		if path.Closed {
			return fmt.Errorf("the path is closed")
		}
		curve := geom.LineFrom(c.at, c.placed(0))
		if op == "c" {
			curve = geom.CubicFrom(c.at, c.placed(0), c.placed(2), c.placed(4))
		}
		path.Curves = append(path.Curves, curve)
		c.at = curve.Q
	case "h":
		if start := path.Curves[0].P; c.at != start {
			path.Curves = append(path.Curves, geom.LineFrom(c.at, start))
		}
		path.Closed = true
	case "W":
		c.clips = true
	case "n":
		if !c.clips || len(c.paths) != 1 || !c.window.Empty() {
			return fmt.Errorf("a path for nothing")
		}
		for _, curve := range path.Curves {
			c.window = c.window.Union(curve.Bounds())
		}
		c.paths, c.clips = nil, false
	case "S", "f":
		if op == "S" && len(c.paths) > 1 {
			return fmt.Errorf("%d paths at once", len(c.paths))
		}
		m := c.mark(op == "f")
		m.Paths, c.paths = c.paths, nil
		c.page.Marks = append(c.page.Marks, m)
	}
	return nil
}

// mark is a mark with what the state says of it.
func (c *interpreter) mark(filled bool) Mark {
	m := Mark{Layer: c.layer, Overprint: c.state.overprint, Window: c.window, Filled: filled}
	if filled {
		m.Ink, m.RGB = c.fillInk, c.fillRGB
	} else {
		m.Ink, m.RGB, m.Width, m.Dash = c.strokeInk, c.strokeRGB, c.width, c.dash
	}
	return m
}

// write runs the operators of text.
func (c *interpreter) write(op operator) error {
	if (op == "BT") == c.texts {
		return fmt.Errorf("out of place")
	}
	switch op {
	case "BT", "ET":
		c.texts = op == "BT"
	case "Tf":
		c.font, c.fontSize = c.fonts[c.name(0)], c.num(1)
	case "Tm":
		c.text = [6]float64{c.num(0), c.num(1), c.num(2), c.num(3), c.num(4), c.num(5)}
	case "Tj":
		codes, _ := c.args[0].(text)
		if c.font == nil || len(codes)%2 != 0 {
			return fmt.Errorf("no font")
		}
		m := c.mark(true)
		place := times(c.text, c.matrix)
		m.At = geom.Pt(place[4], place[5]).Mul(c.scale)
		m.Angle = geom.Pt(place[0], place[1]).Angle()
		if up := geom.Pt(place[2], place[3]); up.Dist(geom.Pt(place[0], place[1]).Left()) > 1e-4*up.Len() {
			return fmt.Errorf("the letters lean")
		}
		m.Size = math.Hypot(place[0], place[1]) * c.fontSize * c.scale
		for i := 0; i < len(codes); i += 2 {
			r, ok := c.font.runes[uint16(codes[i])<<8|uint16(codes[i+1])]
			if !ok {
				return fmt.Errorf("the code %x has no letter", codes[i:i+2])
			}
			m.Text += r
		}
		c.page.Marks = append(c.page.Marks, m)
	}
	return nil
}
