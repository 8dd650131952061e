package emit

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// DXF is the cut file of a blank as DXF R2000: millimetres, y up, one layer per
// line kind. A stroke of lines and arcs is one LWPOLYLINE, closed when the
// stroke is, its arcs as bulges; a lone line is a LINE; a stroke that holds a
// curve is consecutive entities end to end, each curve a SPLINE. It is seen
// from the outside, or mirrored left to right from the inside. Same blank, same
// bytes: nothing in it tells the time. The error is the context's.
func DXF(ctx context.Context, b *blank.Blank, inside bool) ([]byte, error) {
	d, err := draw(ctx, b, inside)
	if err != nil {
		return nil, err
	}
	return d.dxf(ctx)
}

// dxf writes a drawing. The error is the context's.
func (d drawing) dxf(ctx context.Context) ([]byte, error) {
	w := &dxfWriter{next: firstFree}
	w.classes()
	w.tables(d)
	w.blocks()
	w.section("ENTITIES")
	for _, l := range d.layers {
		for _, s := range l.strokes {
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			w.stroke(string(l.kind), s)
		}
	}
	w.endSection()
	w.objects(d)
	w.tag(0, "EOF")
	// The header comes first and names a handle above all that were given out.
	body := w.out
	w.out = make([]byte, 0, len(body)+1024)
	w.header(d)
	return append(w.out, body...), nil
}

// stroke writes the entities of one stroke: each maximal chain of lines and arcs
// between curves as one, each curve as one. The ends of neighbours are the same
// node, so they agree in every digit.
func (w *dxfWriter) stroke(layer string, s stroke) {
	if !s.curved() {
		w.polyline(layer, s.start, s.segments, s.closed)
		return
	}
	at, chain := s.start, s.segments[:0]
	for i, seg := range s.segments {
		if seg.kind != geom.Cubic {
			chain = s.segments[i-len(chain) : i+1]
			continue
		}
		at = w.polyline(layer, at, chain, false)
		w.spline(layer, at, seg)
		at, chain = seg.to, chain[:0]
	}
	w.polyline(layer, at, chain, false)
}

// curved reports whether the stroke holds a cubic, for which LWPOLYLINE has no
// place.
func (s stroke) curved() bool {
	for _, seg := range s.segments {
		if seg.kind == geom.Cubic {
			return true
		}
	}
	return false
}

// polyline writes lines and arcs from a node as one entity and gives the node they
// lead to. In an LWPOLYLINE group 90 is the number of vertices, 70 is 1 when the
// last is joined to the first, 43 is the constant width, and the bulge (42) of a
// vertex belongs to the segment that begins there.
func (w *dxfWriter) polyline(layer string, at node, segments []segment, closed bool) node {
	switch {
	case len(segments) == 0:
		return at
	case len(segments) == 1 && segments[0].kind == geom.Line:
		return w.line(layer, at, segments[0].to)
	}
	w.entity("LWPOLYLINE", layer, "AcDbPolyline")
	if closed {
		w.int(90, len(segments))
		w.int(70, 1)
	} else {
		w.int(90, len(segments)+1)
		w.int(70, 0)
	}
	w.real(43, 0)
	for _, seg := range segments {
		w.node(10, at)
		if b := seg.bulge(at); b != 0 {
			w.real(42, b)
		}
		at = seg.to
	}
	if !closed {
		w.node(10, at)
	}
	return at
}

// line writes a LINE: start at groups 10, 20, 30 and end at 11, 21, 31, z = 0.
func (w *dxfWriter) line(layer string, from, to node) node {
	w.entity("LINE", layer, "AcDbLine")
	w.place(10, from)
	w.place(11, to)
	return to
}

// spline writes a cubic Bézier curve as a B-spline of degree 3 whose knots all
// lie at its ends, which is the same curve. Groups 71 to 74 are the degree and the
// numbers of knots, control points and fit points; 210 is the normal of its plane.
// Group 70 is a set of bits, of which 8 says planar; 40 is a knot.
func (w *dxfWriter) spline(layer string, from node, seg segment) {
	const planar = 8
	w.entity("SPLINE", layer, "AcDbSpline")
	w.direction(210, 0, 0, 1)
	w.int(70, planar)
	w.int(71, 3)
	w.int(72, 8)
	w.int(73, 4)
	w.int(74, 0)
	for _, knot := range [...]float64{0, 0, 0, 0, 1, 1, 1, 1} {
		w.real(40, knot)
	}
	for _, n := range [...]node{from, seg.c, seg.d, seg.to} {
		w.place(10, n)
	}
}

// entity opens an entity of model space: handle and owner, then the common part
// with the layer (8), then the marker of its own class.
func (w *dxfWriter) entity(kind, layer, class string) {
	w.object(kind, w.free(), modelSpace)
	w.tag(100, "AcDbEntity")
	w.tag(8, layer)
	w.tag(100, class)
}
