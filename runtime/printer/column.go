package printer

import (
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// column stacks text and drawings from the top down; it is placed when its height is
// known. Lengths are mm.
type column struct {
	text          *lettering
	width, height float64
	items         []func(p *pdf.Page, top geom.Point) // top is the upper left corner
}

// leading is the distance of base lines, in sizes of the type.
const leading = 1.35

// style is how a column's text looks.
type style struct {
	size   float64
	bold   bool
	colour string // "" is the ink
	most   int    // lines; the last is cropped where there are more; 0 for all
}

// plainStyle is that of most words.
var plainStyle = style{size: 2.8}

// add sets text in lines.
func (c *column) add(text string, s style) {
	f := c.text.face(s.bold)
	lines := f.wrapped(text, s.size, c.width)
	if s.most > 0 && len(lines) > s.most {
		lines = append(lines[:s.most-1], f.cropped(strings.Join(lines[s.most-1:], " "), s.size, c.width))
	}
	for _, line := range lines {
		drop := c.height + s.size
		c.items = append(c.items, func(p *pdf.Page, top geom.Point) {
			c.text.write(p, label{text: line, size: s.size, bold: s.bold, at: top.Add(geom.Pt(0, -drop)), colour: colourRGB(s.colour)})
		})
		c.height += float64(s.size * leading)
	}
}

// draw adds a drawing of a height.
func (c *column) draw(height float64, item func(p *pdf.Page, top geom.Point)) {
	drop := c.height
	c.items = append(c.items, func(p *pdf.Page, top geom.Point) { item(p, top.Add(geom.Pt(0, -drop))) })
	c.height += height
}

// write draws all of it, its upper left corner at a point.
func (c *column) write(p *pdf.Page, top geom.Point) {
	for _, item := range c.items {
		item(p, top)
	}
}

// colourRGB is a colour of the sheet's, "" the ink.
func colourRGB(hex string) pdf.Colour {
	if hex == "" {
		hex = preview.Ink
	}
	return pdf.RGB(pdf.Parts(hex))
}

// lines are straight strokes, each of two points.
func lines(ends ...geom.Point) []pdf.Path {
	var out []pdf.Path
	for i := 0; i+1 < len(ends); i += 2 {
		out = append(out, pdf.Path{Curves: []geom.Curve{geom.LineFrom(ends[i], ends[i+1])}})
	}
	return out
}
