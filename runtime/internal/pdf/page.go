package pdf

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// Page is one page with what has been drawn on it so far: in mm, y up, from the lower
// left corner.
type Page struct {
	boxes Boxes
	unit  float64 // of the page, in points
	text  []byte  // its content
}

// Path is one subpath: curves end to end, home again at the start when Closed.
type Path struct {
	Curves []geom.Curve
	Closed bool
}

// Pen is how paths are stroked.
type Pen struct {
	Colour Colour
	Width  float64   // mm
	Dash   []float64 // lengths of dashes and gaps by turns, mm; nil for a full line
	Round  bool      // ends and joints; else butt ends and sharp joints
}

// In draws within a layer. Nothing that is set in it holds outside.
func (p *Page) In(l *Layer, draw func()) {
	p.text = fmt.Appendf(p.text, "/OC/%s BDC\nq\n", l.resource)
	draw()
	p.text = append(p.text, "Q\nEMC\n"...)
}

// Window draws what is seen through a box of the page, all of it shifted.
func (p *Page) Window(b geom.Box, shift geom.Point, draw func()) {
	p.text = append(p.text, "q\n"...)
	p.numbers(b.Min.X, b.Min.Y, b.Width(), b.Height())
	p.text = append(p.text, "re W n\n1 0 0 1 "...)
	p.numbers(shift.X, shift.Y)
	p.text = append(p.text, "cm\n"...)
	draw()
	p.text = append(p.text, "Q\n"...)
}

// Stroke strokes paths one by one, in order.
func (p *Page) Stroke(paths []Path, pen Pen) {
	p.overprint(pen.Colour)
	p.text = append(append(p.text, pen.Colour.stroke...), '\n')
	p.numbers(pen.Width)
	p.text = append(p.text, "w ["...)
	for _, d := range pen.Dash {
		p.numbers(d)
	}
	p.text = append(p.text, "] 0 d "...)
	if pen.Round {
		p.text = append(p.text, "1 J 1 j\n"...)
	} else {
		p.text = append(p.text, "0 J 0 j\n"...)
	}
	for _, path := range paths {
		if p.path(path) {
			p.text = append(p.text, "S\n"...)
		}
	}
}

// Fill fills what paths enclose together, by winding number.
func (p *Page) Fill(paths []Path, c Colour) {
	p.overprint(c)
	p.text = append(append(p.text, c.fill...), '\n')
	drawn := false
	for _, path := range paths {
		drawn = p.path(path) || drawn
	}
	if drawn {
		p.text = append(p.text, "f\n"...)
	}
}

// overprint sets what spot colours need before they are used.
func (p *Page) overprint(c Colour) {
	if c.spot {
		p.text = append(p.text, "/GS0 gs\n"...)
	}
}

// Glyphs sets glyphs of a font, by their numbers, from a point on the base line on;
// size is the em in mm, angle counter-clockwise.
func (p *Page) Glyphs(f Font, size float64, at geom.Point, angle geom.Angle, c Colour, ids []uint16) {
	p.overprint(c)
	p.text = fmt.Appendf(p.text, "BT %s /%s 1 Tf ", c.fill, f.resource)
	sin, cos := angle.SinCos()
	p.text = append(p.text, joined(glyphDecimals, size*cos, size*sin, -size*sin, size*cos, at.X, at.Y)...)
	p.text = append(p.text, " Tm <"...)
	for _, id := range ids {
		p.text = fmt.Appendf(p.text, "%04X", id)
	}
	p.text = append(p.text, "> Tj ET\n"...)
}

// glyphDecimals are those of a text's matrix, whose parts are multiplied by the length
// of a line in ems.
const glyphDecimals = 6

// path writes a path's operators, and reports whether there was anything to write. The
// closing line of a closed path is its h itself.
func (p *Page) path(path Path) bool {
	curves := path.Curves
	if len(curves) == 0 {
		return false
	}
	p.point(curves[0].P)
	p.text = append(p.text, "m\n"...)
	if last := len(curves) - 1; path.Closed && last > 0 && curves[last].Kind == geom.Line {
		curves = curves[:last]
	}
	for _, c := range curves {
		p.curve(c)
	}
	if path.Closed {
		p.text = append(p.text, "h\n"...)
	}
	return true
}

// curve writes a curve from where the one before ended.
func (p *Page) curve(c geom.Curve) {
	switch c.Kind {
	case geom.Line:
		p.point(c.Q)
		p.text = append(p.text, "l\n"...)
	case geom.Cubic:
		p.cubic(c.C, c.D, c.Q)
	default:
		n := arcParts(c)
		reach := 4.0 / 3 * geom.Radians(c.Sweep.Abs().Radians()/n/4).Tan() * c.R
		for i := 1.0; i <= n; i++ {
			a, b := (i-1)/n, i/n
			from, to := c.At(a), c.At(b)
			p.cubic(from.Add(c.Tangent(a).Unit().Mul(reach)), to.Sub(c.Tangent(b).Unit().Mul(reach)), to)
		}
	}
}

const (
	// arcError is how far, in mm, a cubic may stray from its arc: half of
	// geom.SnapTolerance.
	arcError = 5e-4
	// mostTurn is the largest turn, in radians, that one cubic stands for.
	mostTurn = math.Pi / 4
)

// arcParts is the least number of equal parts in which an arc is written by cubics that
// keep arcError and mostTurn.
func arcParts(c geom.Curve) float64 {
	sweep := c.Sweep.Abs().Radians()
	n := max(1, math.Ceil(sweep/mostTurn-1e-9))
	for {
		sin, cos := geom.Radians(sweep / n / 4).SinCos()
		if 2.0/27*sin*sin*sin*sin*sin*sin/(cos*cos)*c.R <= arcError {
			return n
		}
		n++
	}
}

func (p *Page) cubic(c, d, q geom.Point) {
	p.point(c)
	p.point(d)
	p.point(q)
	p.text = append(p.text, "c\n"...)
}

func (p *Page) point(q geom.Point) { p.numbers(q.X, q.Y) }

// numbers writes numbers in mm, each with a space behind it.
func (p *Page) numbers(vs ...float64) {
	for _, v := range vs {
		p.text = append(decimal.AppendShort(p.text, decimal.Round(v, contentDecimals+noiseDecimals), contentDecimals), ' ')
	}
}
