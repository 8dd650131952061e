package emit

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// machineSVG is a program as SVG: the page is the bed, one group a line kind holds one
// path, and groups and subpaths stand in the order of work. Else it is as SVG writes cut files.
func machineSVG(ctx context.Context, p *toolpath.Program) ([]byte, error) {
	d, err := drawProgram(ctx, p)
	if err != nil {
		return nil, err
	}
	return d.svg(ctx)
}

// machineDXF is a program as DXF, in the frame of the bed; entities stand in the order of work.
// Else it is as DXF writes cut files.
func machineDXF(ctx context.Context, p *toolpath.Program) ([]byte, error) {
	d, err := drawProgram(ctx, p)
	if err != nil {
		return nil, err
	}
	return d.dxf(ctx)
}

// drawProgram lays a program out on its bed. A way that ends where it began is a closed
// stroke.
func drawProgram(ctx context.Context, p *toolpath.Program) (drawing, error) {
	d := drawing{width: toGrid(p.Machine.Bed[0]), height: toGrid(p.Machine.Bed[1])}
	for _, pass := range p.Passes {
		l := layer{kind: pass.Kind}
		for _, s := range pass.Strokes {
			if ctx.Err() != nil {
				return d, context.Cause(ctx)
			}
			way := blank.Stroke{Closed: s.Closed && toNode(s.Start()) == toNode(s.End())}
			for _, m := range s.Moves {
				way.Curves = append(way.Curves, m.Curve)
			}
			if t := drawStroke(way, geom.Identity()); len(t.segments) > 0 {
				l.strokes = append(l.strokes, t)
			}
		}
		if len(l.strokes) > 0 {
			d.layers = append(d.layers, l)
		}
	}
	return d, nil
}
