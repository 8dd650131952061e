package preview

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Measures of the sheet, mm.
const (
	margin      = 11.0
	columnWidth = 58.0
	columnGap   = 6.0
	bandLimit   = 0.5 // of the sheet's height, for text below the drawing
)

// frame is a way to divide a sheet: text in columns right of the drawing, or
// in a band below it.
type frame struct {
	size    geom.Point
	columns int
	below   bool
}

// frames lists the ways to use one ISO 216 A sheet, those tried first first.
// n = 4 is A4; below 0 the series is carried on upward.
func frames(n int) []frame {
	short, long := isoA(n)
	return []frame{
		{geom.Pt(long, short), 1, false},
		{geom.Pt(short, long), columnsIn(short), true},
		{geom.Pt(long, short), columnsIn(long), true},
		{geom.Pt(long, short), 2, false},
	}
}

// isoA gives the sides of sheet A n: 841 × 1189 mm halved n times, rounded down
// to whole millimetres (ISO 216), or doubled.
func isoA(n int) (short, long float64) {
	short, long = 841, 1189
	for ; n > 0; n-- {
		short, long = math.Floor(long/2), short
	}
	for ; n < 0; n++ {
		short, long = long, short*2
	}
	return short, long
}

// columnsIn is how many columns of text a band of this width holds.
func columnsIn(width float64) int {
	return int((width - 2*margin + columnGap) / (columnWidth + columnGap))
}

// page is a sheet with everything in its place.
type page struct {
	frame
	rows    []row
	at      []place
	text    geom.Box // where the columns stand
	room    geom.Box // where the pictures stand
	cells   []*cell
	corners []geom.Point // of the cells
}

// write draws pictures and text.
func (p *page) write(ctx context.Context, w Surface) error {
	for i, c := range p.cells {
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		w.Open(Paint{Class: "cell"}, geom.Point{})
		c.write(w, p.corners[i])
		w.Close()
	}
	w.Open(Paint{Class: "text"}, geom.Point{})
	width := (p.text.Width() - float64(columnGap*float64(p.columns-1))) / float64(p.columns)
	for i, r := range p.rows {
		at := p.at[i]
		r.draw(w, p.text.Min.Add(geom.Pt(float64(at.column)*(width+columnGap), at.y)))
	}
	w.Close()
	return nil
}
