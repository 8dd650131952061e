package printer

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// Measures of a print template, mm.
const (
	templateMargin = 10.0 // of the page, round all that is on it
	dimensionGap   = 5.0  // between the bleed and the dimension lines
	dimensionBand  = 10.0 // what these take, with their figures
	leastTemplate  = 150  // width of the page, for the words
	templateType   = 2.8  // size of the type
	bleedWidth     = 0.25
	glueWidth      = 0.25
	glueStep       = 2.0 // between the lines of hatching
	hatchTolerance = 0.005
)

// Colours of what is no line kind: quiet ones of the sheet, and a dark yellow, the one
// colour of the set of KindFacts that no line kind has, for the bleed.
const (
	legendColour = preview.Ink
	glueColour   = preview.HatchColour
	bleedColour  = "#8A8100"
	sizeColour   = look.Grey
)

// Print is the template that artwork of a piece is laid on: one page of true size, seen
// from the outside, which is the side that is printed. TrimBox is the bounding box of the
// blank, BleedBox what the bleed adds to it. Each line kind, the glue, the bleed, the
// legend and the dimensions have a layer and a spot colour of their own, with the processing
// steps of ISO 19593-1; legend and dimensions are not printed. The lowest layer is empty,
// for the artwork. The error is the context's cause, or that of a blank whose contours do
// not close.
func Print(ctx context.Context, m engine.Made) ([]byte, error) {
	piece := m.Design.Pieces[m.Index]
	t := &template{made: m, blank: m.Blanks[m.Index], doc: pdf.New(cmp.Or(m.Design.Title, m.Script)+" - "+piece.Name, "Print template at true size, seen from the outside.")}
	var err error
	if t.text, err = newLettering(t.doc); err != nil {
		return nil, err
	}
	if t.bleed, err = bleedOf(t.blank); err != nil {
		return nil, err
	}
	parts := t.parts()
	t.lay(parts)
	for _, p := range parts {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		l := t.doc.Layer(pdf.Layer{Name: p.name, Step: p.step, ScreenOnly: p.screen})
		t.page.In(l, func() {
			if p.draw != nil {
				p.draw(t.doc.Spot(p.name, pdf.Inks(p.colour)...))
			}
		})
	}
	if err := t.text.embed(t.doc); err != nil {
		return nil, err
	}
	return t.doc.Bytes()
}

// template is a print template while it is being made.
type template struct {
	made  engine.Made
	blank *blank.Blank
	doc   *pdf.Document
	text  *lettering
	bleed [][]geom.Curve // the bleed's outline, in the blank frame

	page     *pdf.Page
	place    geom.Isometry // from the blank frame to the page
	trim     geom.Box      // on the page, as all that follows
	bleedBox geom.Box
	media    geom.Box
	info     []label                         // the words below, and what the layers are
	rooms    map[*model.Panel][][]geom.Point // the board of panels
	taken    crowd                           // by labels
}

// part is a layer with what is on it.
type part struct {
	name, does, colour string
	step               pdf.Step
	screen             bool // not printed
	draw               func(pdf.Colour)
}

// parts are the layers of the template, the lowest first.
func (t *template) parts() []part {
	structural := func(kind string) pdf.Step { return pdf.Step{Group: "Structural", Type: kind} }
	parts := []part{{name: "artwork", does: "empty, for what is printed"}}
	for i, name := range [...]string{"glue", "glue-inside"} {
		rings := slices.Concat(preview.Glued(t.blank, i == 1)...)
		if len(rings) > 0 {
			does := [...]string{"glue on this side: keep it free of ink and varnish", "glue on the other side"}[i]
			parts = append(parts, part{name, does, glueColour, structural("Gluing"), false, func(c pdf.Colour) { t.drawGlue(rings, [...]geom.Degrees{-45, 45}[i], c) }})
		}
	}
	if len(t.bleed) > 0 {
		does := fmt.Sprintf("artwork that reaches the edge runs on to here, %s mm", geom.Num(t.blank.Piece.Bleed))
		parts = append(parts, part{"bleed", does, bleedColour, structural("Bleed"), false, t.drawBleed})
	}
	does := map[blank.Kind]string{}
	for _, l := range look.Lines(false) {
		does[l.Kind] = l.Does
	}
	for _, l := range t.blank.Layers {
		f := l.Kind.Facts()
		parts = append(parts, part{string(l.Kind), does[l.Kind], f.Colour, pdf.LineStep(f.Structural), false, func(c pdf.Colour) {
			t.page.Stroke(t.placed(l.Strokes), pdf.Pen{Colour: c, Width: look.Narrow})
		}})
	}
	return append(parts,
		part{"legend", "names, folds and these words; not printed", legendColour, pdf.Step{Group: "Legend"}, true, t.drawLegend},
		part{"dimensions", "sizes in mm; not printed", sizeColour, pdf.Step{Group: "Dimensions"}, true, t.drawDimensions})
}

// bleedOf is the outline of the blank's contours with the bleed added, in the blank
// frame; nil where there is none. What contours enclose is printed over, so that only
// outer ones count. Corners stay sharp but where a slender tip would carry the bleed out
// of the blank's box by more than four times its width: then all are round.
func bleedOf(b *blank.Blank) ([][]geom.Curve, error) {
	var outer [][]geom.Curve
	for _, l := range b.Layers {
		for _, s := range l.Strokes {
			area := 0.0
			for _, c := range s.Curves {
				area += c.Area()
			}
			if l.Kind == blank.CutLine && s.Closed && area > 0 {
				outer = append(outer, s.Curves)
			}
		}
	}
	if b.Piece.Bleed == 0 {
		return nil, nil
	}
	out, err := region.GrowRings(outer, b.Piece.Bleed)
	if far := b.Bounds.Grow(4 * b.Piece.Bleed); err == nil && slices.ContainsFunc(out, func(r []geom.Curve) bool {
		return slices.ContainsFunc(r, func(c geom.Curve) bool { return !far.Contains(c.P) })
	}) {
		out, _, err = region.RoundRings(outer, b.Piece.Bleed)
	}
	return out, err
}

// lay settles the page: the blank with its bleed, dimensions to its left and below, and
// under them the words. Every place is known then.
func (t *template) lay(parts []part) {
	bounds := t.blank.Bounds
	bleed := bounds.Grow(t.blank.Piece.Bleed)
	for _, r := range t.bleed {
		for _, c := range r {
			bleed = bleed.Union(c.Bounds())
		}
	}
	width := max(bleed.Width()+dimensionGap+dimensionBand+2*templateMargin, leastTemplate)
	height := t.words(parts, width-2*templateMargin)
	corner := geom.Pt(templateMargin+dimensionGap+dimensionBand, templateMargin+height+dimensionGap+dimensionBand)
	t.place = geom.Translation(corner.X-bleed.Min.X, corner.Y-bleed.Min.Y)
	move := func(b geom.Box) geom.Box { return geom.BoxOf(t.place.Apply(b.Min), t.place.Apply(b.Max)) }
	t.trim, t.bleedBox = move(bounds), move(bleed)
	t.media = geom.Box{Max: geom.Pt(width, t.bleedBox.Max.Y+templateMargin)}
	t.page = t.doc.Page(pdf.Boxes{Media: t.media, Bleed: t.bleedBox, Trim: t.trim})
}

// words sets what is told below the drawing, in lines from the margin's corner up, and gives
// their height.
func (t *template) words(parts []part, width float64) float64 {
	const (
		line   = templateType * 1.4
		column = 30.0 // to what is said of a layer
	)
	design, piece := t.made.Design, t.blank.Piece
	y := 0.0
	add := func(x float64, bold bool, texts ...string) {
		for i, text := range texts {
			t.info = append(t.info, label{text: text, size: templateType, bold: bold, at: geom.Pt(x, y-float64(float64(i)*line))})
		}
	}
	tell := func(bold bool, text string) {
		lines := t.text.face(bold).wrapped(text, templateType, width)
		add(0, bold, lines...)
		y -= float64(float64(len(lines)) * line)
	}
	tell(true, cmp.Or(design.Title, t.made.Script))
	tell(true, piece.Name)
	tell(false, boardWords(piece))
	tell(false, fmt.Sprintf("Flat size %s mm by %s mm. Seen from the outside, the side that is printed. Print at 100 %%.", geom.Num(round2(t.blank.Bounds.Width())), geom.Num(round2(t.blank.Bounds.Height()))))
	y -= line / 2
	for i := len(parts) - 1; i >= 0; i-- {
		lines := t.text.regular.wrapped(parts[i].does, templateType, width-column)
		add(0, true, parts[i].name)
		add(column, false, lines...)
		y -= float64(float64(max(1, len(lines))) * line)
	}
	for i := range t.info {
		t.info[i].at = t.info[i].at.Add(geom.Pt(templateMargin, templateMargin-y-line))
	}
	return -y
}

// boardWords tell of the stock and the grain.
func boardWords(p *model.Piece) string {
	out := "Board " + stockWords(p)
	if p.Board.GrainDegrees != nil {
		out += fmt.Sprintf(", grain at %s° to the lower edge of this page", geom.Num(float64(*p.Board.GrainDegrees)))
	}
	return out + "."
}

// stockWords tell of the stock alone.
func stockWords(p *model.Piece) string {
	out := fmt.Sprintf("%s, %s mm", p.Board.Name, geom.Num(p.Board.Caliper))
	if p.Board.GSM != nil {
		out += fmt.Sprintf(", %s g/m²", geom.Num(*p.Board.GSM))
	}
	return out
}

// sizeNoise is how many decimals of a size count, as on the drawing sheet: the bits beyond
// would turn figures half way between two, and the two would disagree.
const sizeNoise = 7

// round2 rounds a size to hundredths of a millimetre, as sheets tell them.
func round2(v float64) float64 { return decimal.Round(decimal.Round(v, sizeNoise), 2) }

// placed are strokes on the page.
func (t *template) placed(strokes []blank.Stroke) []pdf.Path {
	var out []pdf.Path
	for _, s := range strokes {
		out = append(out, pdf.Path{Curves: t.curves(s.Curves), Closed: s.Closed})
	}
	return out
}

func (t *template) curves(curves []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, len(curves))
	for i, c := range curves {
		out[i] = c.Transform(t.place)
	}
	return out
}

// drawGlue outlines and hatches rings.
func (t *template) drawGlue(rings []blank.Ring, upright geom.Degrees, c pdf.Colour) {
	pen := pdf.Pen{Colour: c, Width: glueWidth}
	var paths []pdf.Path
	for _, r := range rings {
		paths = append(paths, pdf.Path{Curves: t.curves(r), Closed: true})
	}
	for _, l := range hatching(flatRings(rings, t.place, hatchTolerance), upright, glueStep, glueWidth) {
		paths = append(paths, pdf.Path{Curves: []geom.Curve{l}})
	}
	t.page.Stroke(paths, pen)
}

// drawBleed draws the bleed's outline.
func (t *template) drawBleed(c pdf.Colour) {
	var paths []pdf.Path
	for _, r := range t.bleed {
		paths = append(paths, pdf.Path{Curves: t.curves(r), Closed: true})
	}
	t.page.Stroke(paths, pdf.Pen{Colour: c, Width: bleedWidth})
}
