package emit

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// Names of the files of a layout.
const (
	LayoutName        = "layout" // as the name of a piece in the file for a machine
	LayoutSVGName     = "layout.cut.svg"
	LayoutDXFName     = "layout.cut.dxf"
	LayoutPictureName = "layout.svg"
	LayoutJSONName    = "layout.json"
)

// Layout is pieces laid on a sheet of board. The sheet's frame has its origin in the
// lower left corner, x to the right, y up, mm.
type Layout struct {
	Script        string
	Machine       string  // whose bed it is, "" for a sheet of its own
	Width, Height float64 // mm
	Margin, Gap   float64 // mm
	Grain         string  // the sheet's: "x", "y" or "any"
	Board         *board.Board
	Inside        bool // seen from the inside
	Sets          int  // how often each piece lies on the sheet, times its copies
	Boxes         int  // how many sets there would be with the pieces' bounding boxes
	Pieces        []LaidPiece
	Layers        []blank.Layer // all lines, common ones once, in the order of Blank.Layers
	Shared        float64       // mm of cut that two copies have in common
	Cautions      []string
	Program       *toolpath.Program // of the sheet on the Machine; nil where that takes no files
}

// LaidPiece is a piece and where its copies lie.
type LaidPiece struct {
	*blank.Blank
	Places []geom.Isometry // from the blank to the sheet
}

// Yield is the share of the sheet, 0 to 1, that is board of so many sets.
func (l *Layout) Yield(sets int) float64 {
	area := 0.0
	for _, p := range l.Pieces {
		area += p.Area * float64(p.Piece.Copies*sets)
	}
	return area / (l.Width * l.Height)
}

// Count is how many pieces lie on the sheet.
func (l *Layout) Count() (n int) {
	for _, p := range l.Pieces {
		n += len(p.Places)
	}
	return n
}

// Lay fills in Layers and Shared from the places of the pieces. Without a gap common
// lines are merged. The error is the context's.
func (l *Layout) Lay(ctx context.Context) (err error) {
	byKind := map[blank.Kind][]blank.Stroke{}
	for _, p := range l.Pieces {
		for _, place := range p.Places {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			for _, layer := range p.Layers {
				for _, s := range layer.Strokes {
					byKind[layer.Kind] = append(byKind[layer.Kind], transformed(s, place))
				}
			}
		}
	}
	if l.Gap == 0 {
		if byKind[blank.CutLine], l.Shared, err = blank.CommonLines(ctx, byKind[blank.CutLine]); err != nil {
			return err
		}
	}
	l.Layers = nil
	for _, k := range blank.Kinds() {
		if len(byKind[k]) > 0 {
			l.Layers = append(l.Layers, blank.Layer{Kind: k, Strokes: byKind[k]})
		}
	}
	return nil
}

// Laid is the sheet as one blank, for a machine, in the sheet's frame. Without a gap, where pieces may share cuts, shared is the
// boundaries of their board, and no stroke says on which side of it board lies; else it is nil.
func (l *Layout) Laid() (b *blank.Blank, shared []geom.Curve) {
	b = &blank.Blank{Piece: &model.Piece{Name: LayoutName, Board: l.Board}, Bounds: geom.EmptyBox()}
	for _, layer := range l.Layers {
		strokes := slices.Clone(layer.Strokes)
		for i := range strokes {
			if strokes[i].Rim = strokes[i].Rim && l.Gap > 0; strokes[i].Rim && l.Inside {
				strokes[i].Curves = backwards(strokes[i].Curves) // board on the left again: pieces lie mirrored
			}
			for _, c := range strokes[i].Curves {
				b.Bounds = b.Bounds.Union(c.Bounds())
			}
		}
		b.Layers = append(b.Layers, blank.Layer{Kind: layer.Kind, Strokes: strokes})
	}
	for _, p := range l.Pieces {
		for _, place := range p.Places {
			for _, h := range p.Hinges {
				h.Curves = transformed(blank.Stroke{Curves: h.Curves}, place).Curves
				b.Hinges = append(b.Hinges, h)
			}
			if l.Gap > 0 {
				continue
			}
			for _, layer := range p.Layers {
				for _, s := range layer.Strokes {
					if s.Rim {
						curves := transformed(s, place).Curves
						if place.Mirrors() {
							curves = backwards(curves)
						}
						shared = append(shared, curves...)
					}
				}
			}
		}
	}
	return b, shared
}

// backwards is a way from its end.
func backwards(curves []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, len(curves))
	for i, c := range curves {
		out[len(out)-1-i] = c.Reverse()
	}
	return out
}

func transformed(s blank.Stroke, place geom.Isometry) blank.Stroke {
	out := s
	out.Curves = slices.Clone(s.Curves)
	for i, c := range out.Curves {
		out.Curves[i] = c.Transform(place)
	}
	return out
}

// drawLayout is the layout as cut files hold it: the whole sheet, from its corner.
func drawLayout(ctx context.Context, l *Layout) (drawing, error) {
	sheet := blank.Blank{Layers: l.Layers, Bounds: geom.Box{Max: geom.Point{X: l.Width, Y: l.Height}}}
	return draw(ctx, &sheet, false)
}

func layoutSVG(ctx context.Context, l *Layout) ([]byte, error) {
	d, err := drawLayout(ctx, l)
	if err != nil {
		return nil, err
	}
	return d.svg(ctx)
}

func layoutDXF(ctx context.Context, l *Layout) ([]byte, error) {
	d, err := drawLayout(ctx, l)
	if err != nil {
		return nil, err
	}
	return d.dxf(ctx)
}

// sharePlaces is how many decimals shares of a sheet have: a thousandth of a per cent.
const sharePlaces = 5

// layoutJSON is the layout for programs. A place is [a b c d e f] as in an SVG
// matrix: sheet = (a·x + c·y + e, b·x + d·y + f) from the blank's frame.
func layoutJSON(ctx context.Context, l *Layout) ([]byte, error) {
	w := &jsontext.Writer{}
	w.Open('{')
	w.Key("format").Text("creasewright-layout")
	w.Key("version").Int(1)
	w.Key("script").Text(l.Script)
	w.Object("sheet")
	if l.Machine != "" {
		w.Key("machine").Text(l.Machine)
	}
	for _, v := range [...]struct {
		name string
		v    float64
	}{{"width", l.Width}, {"height", l.Height}, {"margin", l.Margin}, {"gap", l.Gap}} {
		w.Key(v.name).Number(v.v, jsontext.LengthPlaces)
	}
	w.Key("grain").Text(l.Grain)
	w.Key("board").Text(l.Board.Name)
	w.Key("view").Text(map[bool]string{false: "outside", true: "inside"}[l.Inside])
	w.End('}')
	w.Key("sets").Int(l.Sets)
	w.Key("yield").Number(l.Yield(l.Sets), sharePlaces)
	w.Object("boxes")
	w.Key("sets").Int(l.Boxes)
	w.Key("yield").Number(l.Yield(l.Boxes), sharePlaces)
	w.End('}')
	w.Object("lengths")
	for _, layer := range l.Layers {
		w.Key(string(layer.Kind)).Number(layer.Length(), jsontext.LengthPlaces)
	}
	w.End('}')
	w.Key("shared").Number(l.Shared, jsontext.LengthPlaces)
	if l.Program != nil {
		w.Key("program")
		writeProgram(w, l.Program)
	}
	w.List("pieces")
	for _, p := range l.Pieces {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		w.Open('{')
		w.Key("name").Text(p.Piece.Name)
		w.Key("copies").Int(p.Piece.Copies)
		w.List("places")
		for _, m := range p.Places {
			w.Open('[')
			x, y, o := m.ApplyDir(geom.Point{X: 1}), m.ApplyDir(geom.Point{Y: 1}), m.Apply(geom.Point{})
			for _, v := range [...]float64{x.X, x.Y, y.X, y.Y} {
				w.Number(v, jsontext.RotationPlaces)
			}
			w.Number(o.X, jsontext.LengthPlaces)
			w.Number(o.Y, jsontext.LengthPlaces)
			w.End(']')
		}
		w.End(']')
		w.End('}')
	}
	w.End(']')
	w.List("cautions")
	for _, c := range l.Cautions {
		w.Text(c)
	}
	w.End(']')
	w.End('}')
	return jsontext.Indent(w.Out), nil
}
