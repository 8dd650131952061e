package preview

import (
	"context"
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// LayoutInput is what a picture of pieces laid on a sheet shows. Everything is in
// the sheet's frame, mm, y up.
type LayoutInput struct {
	Title         string
	Width, Height float64
	Margin        float64
	Grain         *geom.Degrees  // of the sheet; nil for none
	Pieces        [][]blank.Ring // the board of each copy
	Layers        []blank.Layer
	Facts         []string // lines of text under the picture, the first one bold
	Cautions      []string
	Inside        bool
}

// Sizes of the picture of a layout, mm.
const (
	layoutLong, layoutShort = 297.0, 210.0 // A4
	layoutMargin            = 12.0
	layoutTitle             = 5.0
	layoutLeading           = 5.0
)

// Layout is the picture as SVG: the sheet to scale on a page of A4, board tinted,
// lines as on the drawing sheet, facts below. The error is the context's.
func Layout(ctx context.Context, in LayoutInput) ([]byte, error) {
	page := geom.Pt(layoutShort, layoutLong)
	if in.Width > in.Height {
		page = geom.Pt(layoutLong, layoutShort)
	}
	var notes []string
	for _, c := range in.Cautions {
		notes = append(notes, smallFont.wrap("caution: "+c, page.X-2*layoutMargin)...)
	}
	text := layoutTitle + layoutLeading*float64(len(in.Facts)) + 4*float64(len(notes)) + 4
	room := geom.Pt(page.X-2*layoutMargin, page.Y-2*layoutMargin-text-layoutTitle-12)
	scale := min(room.X/in.Width, room.Y/in.Height)
	top := layoutMargin + layoutTitle + 6
	left := (page.X - scale*in.Width) / 2
	m := placing{scale, geom.Pt(left, top+scale*in.Height)}
	w := &writer{}
	w.head(documentHead{page, "layout", in.Title, in.Facts[0], faultStyle(page)})
	w.Rect(geom.Box{Max: page}, filled(paperColour))
	w.Open(Paint{Class: "layout"}, geom.Point{})
	w.open("g", "font-family", fontFamily)
	writeText(w, font{layoutTitle, true}.shorten(in.Title, room.X), font{layoutTitle, true}, geom.Pt(layoutMargin, layoutMargin+2), 0, AtStart, inkColour)
	if err := writeLaid(ctx, w, in, m); err != nil {
		return nil, err
	}
	y := top + scale*in.Height + 4
	writeText(w, fmt.Sprintf("scale 1:%s", dimText(math.Round(100/scale)/100)), smallFont, geom.Pt(left, y), 0, AtStart, greyColour)
	if in.Grain != nil {
		writeGrain(w, geom.Pt(left+scale*in.Width-20, y+2), *in.Grain)
	}
	y += 8
	for i, f := range in.Facts {
		writeText(w, font{lettering, i == 0}.shorten(f, room.X), font{lettering, i == 0}, geom.Pt(layoutMargin, y), 0, AtStart, inkColour)
		y += layoutLeading
	}
	for _, n := range notes {
		writeText(w, n, smallFont, geom.Pt(layoutMargin, y), 0, AtStart, greyColour)
		y += 4
	}
	w.close("g")
	w.Close()
	w.close("svg")
	return w.bytes(), nil
}

// writeLaid draws the sheet, the board on it and the lines.
func writeLaid(ctx context.Context, w *writer, in LayoutInput, m placing) error {
	sheet := geom.BoxOf(m.point(geom.Point{}), m.point(geom.Pt(in.Width, in.Height)))
	w.Rect(sheet, Paint{Class: "sheet", Fill: "#FFFFFF", Stroke: ruleColour, Width: wide})
	if in.Margin > 0 {
		inner := geom.BoxOf(m.point(geom.Pt(in.Margin, in.Margin)), m.point(geom.Pt(in.Width-in.Margin, in.Height-in.Margin)))
		w.Rect(inner, Paint{Class: "margin", Fill: None, Stroke: ruleColour, Width: hairline, Dash: []float64{2, 1}})
	}
	fill := boardColour
	if in.Inside {
		fill = insideColour
	}
	for _, rings := range in.Pieces {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		var strokes []blank.Stroke
		for _, r := range rings {
			strokes = append(strokes, blank.Stroke{Curves: m.curves(r), Closed: true})
		}
		w.Curves(strokes, Paint{Class: "board", Fill: fill})
	}
	for _, r := range runsOf(ctx, &blank.Blank{Layers: in.Layers}, m) {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		p := r.style.pen
		p.width *= min(1, 2.5*m.scale) // finer where pieces are small on the page
		p.width = max(p.width, hairline/2)
		w.Curves(r.strokes, p.paint(string(r.style.kind)))
	}
	return nil
}
