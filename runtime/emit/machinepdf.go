package emit

import (
	"context"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// machineHair is the width of lines in a machine's PDF, mm: drivers take for a path to
// follow, not for an area, what is no wider than a thousandth of an inch (common practice,
// no source).
const machineHair = 0.025

// MachinePDF is a program as a PDF: one page, as large as the bed, with its strokes in the
// order of making. Each line kind has a layer and a spot colour of its name, which looks as
// in the cut files, so that a driver can go by either. There is no text; what to be
// careful of stands in the file's properties. The error is the context's cause.
func MachinePDF(ctx context.Context, p *toolpath.Program) ([]byte, error) {
	d := pdf.New(p.Piece.Name+" on "+p.Machine.Name, toolCautions(p))
	page := d.Page(pdf.Boxes{Media: geom.Box{Max: geom.Pt(p.Machine.Bed[0], p.Machine.Bed[1])}})
	layers, inks := map[blank.Kind]*pdf.Layer{}, map[blank.Kind]pdf.Colour{}
	for _, pass := range p.Passes {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		k := pass.Kind
		if layers[k] == nil {
			r, g, b := pdf.Parts(k.Facts().Colour)
			layers[k], inks[k] = d.Layer(pdf.Layer{Name: string(k), Step: pdf.LineStep(k.Facts().Structural)}), d.Spot(string(k), r, g, b)
		}
		var paths []pdf.Path
		for _, s := range pass.Strokes {
			paths = append(paths, machinePath(s))
		}
		page.In(layers[k], func() { page.Stroke(paths, pdf.Pen{Colour: inks[k], Width: machineHair}) })
	}
	return d.Bytes()
}

// toolCautions are the cautions for the tools that a program uses, once each.
func toolCautions(p *toolpath.Program) string {
	var said []string
	for _, pass := range p.Passes {
		if c := pass.Tool.Kind.Caution(); c != "" && !slices.Contains(said, c) {
			said = append(said, c)
		}
	}
	return strings.Join(said, " ")
}

// machinePath is closed where the axis itself comes home.
func machinePath(s toolpath.Stroke) pdf.Path {
	path := pdf.Path{Closed: s.Closed && s.Start().Dist(s.End()) <= geom.SnapTolerance}
	for _, m := range s.Moves {
		path.Curves = append(path.Curves, m.Curve)
	}
	return path
}
