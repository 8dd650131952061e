package printer

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/preview"
)

// laidGlue is the glue on one side of the board: hatching, but for where names stand.
type laidGlue struct {
	does    string
	upright geom.Degrees
	pen     pdf.Pen
	lines   []geom.Curve
}

// Hatching of glue, mm: so far apart and thin that the sheet stays pale.
const (
	tileGlueStep  = 3.0
	tileGlueWidth = 0.12
)

// layGlue hatches the glue, on the side that is seen by lines and on the other by dashes across them.
func (t *tiledPrint) layGlue(place geom.Isometry) {
	grey := colourRGB(look.Grey)
	for _, g := range []struct {
		laidGlue
		inside bool
	}{
		{laidGlue{does: "glue on this side", upright: -45, pen: pdf.Pen{Colour: grey, Width: tileGlueWidth}}, t.blank.Piece.Inside},
		{laidGlue{does: "glue on the other side", upright: 45, pen: pdf.Pen{Colour: grey, Width: tileGlueWidth, Dash: []float64{1, 1}}}, !t.blank.Piece.Inside},
	} {
		rings := slices.Concat(preview.Glued(t.blank, g.inside)...)
		for _, l := range hatching(flatRings(rings, place, hatchTolerance), g.upright, tileGlueStep, g.pen.Width) {
			g.lines = append(g.lines, aside(l, t.names)...)
		}
		if len(g.lines) > 0 {
			t.glue = append(t.glue, g.laidGlue)
		}
	}
}

// aside is what of a line does not run through a name.
func aside(l geom.Curve, names []laidName) []geom.Curve {
	left := []geom.Curve{l}
	for _, n := range names {
		var next []geom.Curve
		for _, l := range left {
			from, to, ok := shareIn(n.box.Grow(nameRoom), l)
			if !ok {
				next = append(next, l)
				continue
			}
			if from > 0 {
				next = append(next, geom.LineFrom(l.P, l.P.Lerp(l.Q, from)))
			}
			if to < 1 {
				next = append(next, geom.LineFrom(l.P.Lerp(l.Q, to), l.Q))
			}
		}
		left = next
	}
	return left
}

// shareIn is the stretch of a line, in shares of it, that lies in a box (Liang and Barsky 1984).
func shareIn(b geom.Box, l geom.Curve) (from, to float64, ok bool) {
	from, to = 0, 1
	d := l.Q.Sub(l.P)
	for _, axis := range [...]struct{ at, d, low, high float64 }{{l.P.X, d.X, b.Min.X, b.Max.X}, {l.P.Y, d.Y, b.Min.Y, b.Max.Y}} {
		if axis.d == 0 {
			if axis.at <= axis.low || axis.at >= axis.high {
				return 0, 0, false
			}
			continue
		}
		u, v := (axis.low-axis.at)/axis.d, (axis.high-axis.at)/axis.d
		from, to = max(from, min(u, v)), min(to, max(u, v))
	}
	return from, to, from < to
}

// nameRoom is how far hatching keeps from a name, mm.
const nameRoom = 0.6
