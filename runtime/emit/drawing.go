// Package emit writes the bytes of the files a piece is made from, cut SVG and
// cut DXF, of the files that machines make it by, and of the report. One file of code
// per format; all formats of cut file are written from one drawing, so they hold the
// same geometry to the digit. HP-GL and G-code are written from a program, on the lattice
// of places that each can name; what that does to arcs and curves stands at HPGL and
// GCode, with its bounds. Nothing here reads a clock, a folder or an environment. The table of all
// formats a run makes, also those that other packages write, stands here too (Formats).
//
// The package is stable: names stay, and the bytes of a file change only with
// what they show. Fields and formats may be added.
package emit

import (
	"context"
	"math"
	"strconv"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// drawing is a blank as cut files hold it: every coordinate on the grid, no
// arc over a quarter turn, the bounding box's corner at the origin, y up.
// Layers are in the blank's order and hold one stroke at least.
type drawing struct {
	width, height grid
	layers        []layer
}

// layer is the strokes of one line kind: a <g> in SVG, a layer in DXF.
type layer struct {
	kind    blank.Kind
	strokes []stroke
}

// stroke is a chain of segments from start, each beginning where the last one
// ended, so that no rounding can open it.
// A closed stroke ends at start, with a segment that says so: its last node is
// start itself. segments is never empty in a drawing.
type stroke struct {
	start    node
	segments []segment
	closed   bool
}

// node is a place on the grid.
type node struct{ x, y grid }

// segment is one line, arc or cubic to a node. Lines use nothing else, arcs
// radius and left, cubics the control points c and d.
type segment struct {
	kind   geom.Kind
	to     node
	radius float64
	left   bool // the arc turns to the left, seen with y up
	c, d   node
}

// draw lays a blank out for the machine, seen from the outside or mirrored left
// to right from the inside. The error is the context's.
// The isometry is applied to the curves before they are rounded, so that a piece
// seen from the inside is not the mirror image of its rounded drawing to the last
// digit: x and width − x are rounded apart.
func draw(ctx context.Context, b *blank.Blank, inside bool) (drawing, error) {
	place := geom.Translation(-b.Bounds.Min.X, -b.Bounds.Min.Y)
	if inside {
		place = geom.FlipX().Then(geom.Translation(b.Bounds.Max.X, -b.Bounds.Min.Y))
	}
	d := drawing{width: toGrid(b.Bounds.Width()), height: toGrid(b.Bounds.Height())}
	for _, l := range b.Layers {
		strokes := make([]stroke, 0, len(l.Strokes))
		for _, s := range l.Strokes {
			if ctx.Err() != nil {
				return d, context.Cause(ctx)
			}
			if t := drawStroke(s, place); len(t.segments) > 0 {
				strokes = append(strokes, t)
			}
		}
		if len(strokes) > 0 {
			d.layers = append(d.layers, layer{l.Kind, strokes})
		}
	}
	return d, nil
}

// drawStroke rounds each joint once, as the end of one curve and the start of
// the next. What shrinks to nothing on the grid is left out.
func drawStroke(s blank.Stroke, place geom.Isometry) stroke {
	out := stroke{closed: s.Closed, segments: make([]segment, 0, len(s.Curves)+3)}
	var at node
	for i, c := range s.Curves {
		c = c.Transform(place)
		if i == 0 {
			at = toNode(c.P)
			out.start = at
		}
		n := quarters(c)
		for k := 1; k <= n; k++ {
			seg := drawSegment(c, float64(k)/float64(n))
			if s.Closed && i == len(s.Curves)-1 && k == n {
				seg.to = out.start
			}
			if seg.hasLength(at) {
				out.segments = append(out.segments, seg)
				at = seg.to
			}
		}
	}
	return out
}

// drawSegment is the part of c that ends at parameter t: all of it, but for
// arcs that are split.
func drawSegment(c geom.Curve, t float64) segment {
	seg := segment{kind: c.Kind, to: toNode(c.At(t))}
	switch c.Kind {
	case geom.Arc:
		seg.radius, seg.left = c.R, c.Sweep.Radians() > 0
	case geom.Cubic:
		seg.c, seg.d = toNode(c.C), toNode(c.D)
	}
	return seg
}

// toNode rounds a place, in mm, to the grid.
func toNode(p geom.Point) node { return node{toGrid(p.X), toGrid(p.Y)} }

// hasLength reports whether the segment leads anywhere from its start. Only a
// cubic can come back to where it began.
func (s segment) hasLength(from node) bool {
	return s.to != from || s.kind == geom.Cubic && (s.c != from || s.d != from)
}

// quarters is in how many equal parts an arc is written so that none turns
// more than a quarter: an arc given by its ends is ill-conditioned near a half
// circle. The slack, 1e-9 of a quarter, keeps an exact quarter whole.
func quarters(c geom.Curve) int {
	if c.Kind != geom.Arc {
		return 1
	}
	return max(1, int(math.Ceil(c.Sweep.Abs().Radians()/(math.Pi/2)-1e-9)))
}

// bulge is the tangent of a quarter of the angle an arc turns, positive to the
// left (DXF reference, VERTEX). It is taken from the chord as written, so that
// a reader finds the radius the arc was drawn with.
// With θ the angle turned, chord c and radius r: sin(θ/2) = c/2r and
// tan(θ/4) = sin(θ/2) / (1 + cos(θ/2)), where cos is the positive root as θ is at
// most a quarter turn. The product (1 − sin)(1 + sin) keeps digits near 1, and
// min(1, …) a chord that rounding made longer than 2r.
func (s segment) bulge(from node) float64 {
	if s.kind != geom.Arc {
		return 0
	}
	half := from.dist(s.to) / 2
	sin := math.Min(1, half/s.radius) // of half the angle turned
	b := sin / (1 + math.Sqrt((1-sin)*(1+sin)))
	if !s.left {
		return -b
	}
	return b
}

// dist is the distance of two nodes in mm.
func (n node) dist(m node) float64 {
	return math.Hypot(float64(m.x-n.x), float64(m.y-n.y)) / perMM
}

// grid is a coordinate of a cut file in ten-thousandths of a millimetre: four
// decimals, and whole numbers in between, so mirroring and flipping lose
// nothing.
type grid int64

const (
	perMM     = 10000
	fineSteps = 1000 // of 1e-7 mm each, to one step of the grid
)

// toGrid rounds to the grid, as toSteps does.
func toGrid(mm float64) grid { return grid(toSteps(mm, fineSteps)) }

// toSteps rounds to 1e-7 mm first, then half away from zero to steps of so many of
// these: a coordinate meant to lie half-way goes the same way whatever noise its
// last bits carry.
func toSteps(mm float64, step int64) int64 {
	fine := int64(math.Round(mm * perMM * fineSteps))
	if fine < 0 {
		return -((-fine + step/2) / step)
	}
	return (fine + step/2) / step
}

// append writes the coordinate in millimetres with four decimals.
func (g grid) append(dst []byte) []byte {
	if g < 0 {
		dst, g = append(dst, '-'), -g
	}
	dst = strconv.AppendInt(dst, int64(g/perMM), 10)
	frac := int64(g % perMM)
	return append(dst, '.', digit(frac/1000), digit(frac/100), digit(frac/10), digit(frac))
}

// digit is the last decimal digit of v, which is not negative.
func digit(v int64) byte { return byte('0' + v%10) }
