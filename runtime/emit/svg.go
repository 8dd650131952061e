package emit

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// radiusPlaces is how many decimals radii and bulges carry: a bulge of four would bend
// a radius of 50 mm by 0.02 mm.
const radiusPlaces = 9

// SVG is the cut file of a blank as SVG: one user unit is one millimetre, one
// group per line kind with one compound path in it, true arcs and curves. It is
// seen from the outside, or mirrored left to right from the inside. Same
// blank, same bytes. The error is the context's.
func SVG(ctx context.Context, b *blank.Blank, inside bool) ([]byte, error) {
	d, err := draw(ctx, b, inside)
	if err != nil {
		return nil, err
	}
	return d.svg(ctx)
}

// svg writes a drawing. The error is the context's.
func (d drawing) svg(ctx context.Context) (out []byte, err error) {
	out = append([]byte(svgHead), `xmlns="http://www.w3.org/2000/svg" width="`...)
	out = d.width.append(out)
	out = append(out, `mm" height="`...)
	out = d.height.append(out)
	out = append(out, `mm" viewBox="0 0 `...)
	out = d.width.append(out)
	out = append(out, ' ')
	out = d.height.append(out)
	out = append(out, "\">\n"...)
	for _, l := range d.layers {
		if out, err = l.appendSVG(ctx, out, d.height); err != nil {
			return nil, err
		}
	}
	return append(out, svgTail...), nil
}

// appendSVG writes a layer as one group. The colour and the hairline make the
// lines visible and tell nothing that the group's id does not.
func (l layer) appendSVG(ctx context.Context, out []byte, height grid) ([]byte, error) {
	out = append(out, `<g id="`...)
	out = append(out, l.kind...)
	out = append(out, `" fill="none" stroke="`...)
	out = append(out, l.kind.Facts().Colour...)
	out = append(out, "\" stroke-width=\"0.1\">\n<path d=\""...)
	for i, s := range l.strokes {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		if i > 0 {
			out = append(out, '\n')
		}
		out = s.appendSVG(out, height)
	}
	return append(out, "\"/>\n</g>\n"...), nil
}

// appendSVG writes a stroke as a subpath. The closing line of a closed stroke
// is the Z itself, not a line and then a Z of no length.
func (s stroke) appendSVG(out []byte, height grid) []byte {
	out = append(out, 'M')
	out = s.start.appendSVG(out, height)
	segments := s.segments
	if last := len(segments) - 1; s.closed && segments[last].kind == geom.Line {
		segments = segments[:last]
	}
	for _, seg := range segments {
		out = seg.appendSVG(append(out, ' '), height)
	}
	if s.closed {
		out = append(out, " Z"...)
	}
	return out
}

// appendSVG writes a segment as an absolute path command. An arc has two equal
// radii, no rotation, and turns at most a quarter (see quarters).
func (s segment) appendSVG(out []byte, height grid) []byte {
	switch s.kind {
	case geom.Line:
		out = append(out, 'L')
	case geom.Arc:
		out = append(out, "A "...)
		out = decimal.AppendFixed(out, s.radius, radiusPlaces)
		out = append(out, ' ')
		out = decimal.AppendFixed(out, s.radius, radiusPlaces)
		// Never the large arc. A sweep of 1 turns right as seen on the page,
		// for there y points down (SVG 1.1, 8.3.8).
		if s.left {
			out = append(out, " 0 0 0"...)
		} else {
			out = append(out, " 0 0 1"...)
		}
	case geom.Cubic:
		out = append(out, 'C')
		out = s.c.appendSVG(out, height)
		out = s.d.appendSVG(out, height)
	}
	return s.to.appendSVG(out, height)
}

// appendSVG writes " x y" with y flipped: on the page it points down.
func (n node) appendSVG(out []byte, height grid) []byte {
	out = n.x.append(append(out, ' '))
	return (height - n.y).append(append(out, ' '))
}
