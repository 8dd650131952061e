package preview

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Measures of the sheet, mm.
const (
	margin      = 11.0
	columnWidth = 60.0
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

// choosePage finds the sheet: the smallest that holds the text, and on it the
// frame that allows the largest scale. Panels that find no room for their names
// lengthen the text, which may lower the scale and leave more without room, so
// the search goes round until nothing new turns up; scales only go down.
func choosePage(in Input) *page {
	c := &chooser{in: in, byStep: map[int][]*cell{}, top: mostWanted(in)}
	for {
		p := c.search()
		if notes := notesOf(p.cells); len(notes) != len(c.notes) {
			c.notes = notes
			continue
		}
		return p
	}
}

// chooser remembers pictures already laid out while sheets are compared.
type chooser struct {
	in     Input
	byStep map[int][]*cell
	top    int // largest scale step allowed
	notes  []note
}

// fullSize is the size in mm from which a piece is not drawn enlarged.
const fullSize = 45.0

// mostWanted is the largest scale step worth having.
func mostWanted(in Input) int {
	size := 0.0
	for _, b := range in.Blanks {
		size = math.Max(size, math.Max(b.Bounds.Width(), b.Bounds.Height()))
	}
	for _, v := range in.Views {
		b := viewBox(v)
		size = math.Max(size, math.Max(b.Width(), b.Height()))
	}
	n := 0
	for size > 0 && size*scaleStep(n) < fullSize && n < mostStep {
		n++
	}
	return n
}

// search tries sheets from A4 up and scales from the largest down.
func (c *chooser) search() *page {
	for n := 4; ; n-- {
		var pages []*page
		for _, f := range frames(n) {
			if p := c.setText(f); p != nil {
				pages = append(pages, p)
			}
		}
		for step := c.top; step >= leastStep && len(pages) > 0; step-- {
			for _, p := range pages {
				if c.setPictures(p, step) {
					c.top = step
					return p
				}
			}
		}
	}
}

// setText flows the text into a frame; nil when it does not fit.
func (c *chooser) setText(f frame) *page {
	p := &page{frame: f, room: geom.Box{Max: f.size}.Grow(-margin)}
	p.text = p.room
	ok := false
	if f.below {
		width := (p.room.Width() - columnGap*float64(f.columns-1)) / float64(f.columns)
		p.rows = list(sections(c.in, c.notes, width), width)
		var height float64
		p.at, height, ok = flowLow(p.rows, f.columns, f.size.Y*bandLimit)
		p.text.Min.Y = p.text.Max.Y - height
		p.room.Max.Y = p.text.Min.Y - columnGap
	} else {
		p.rows = list(sections(c.in, c.notes, columnWidth), columnWidth)
		p.at, ok = flow(p.rows, f.columns, p.room.Height())
		p.text.Min.X = p.text.Max.X - (columnWidth+columnGap)*float64(f.columns) + columnGap
		p.room.Max.X = p.text.Min.X - columnGap
	}
	if !ok {
		return nil
	}
	return p
}

// setPictures lays the pictures out at a scale, if they fit.
func (c *chooser) setPictures(p *page, step int) bool {
	if !mayFit(c.in, p.room, scaleStep(step)) {
		return false
	}
	if _, ok := c.byStep[step]; !ok {
		c.byStep[step] = cells(c.in, scaleStep(step))
	}
	p.cells = c.byStep[step]
	sizes := make([]geom.Point, len(p.cells))
	for i, cell := range p.cells {
		sizes[i] = cell.size
	}
	var ok bool
	p.corners, ok = arrange(sizes, p.room)
	return ok
}

// mayFit rules out scales at which a bare blank is larger than the room.
func mayFit(in Input, room geom.Box, scale float64) bool {
	for _, b := range in.Blanks {
		if b.Bounds.Width()*scale > room.Width() || b.Bounds.Height()*scale > room.Height() {
			return false
		}
	}
	return true
}

func notesOf(cs []*cell) []note {
	var out []note
	for _, c := range cs {
		out = append(out, c.notes...)
	}
	return out
}

// write draws pictures and text.
func (p *page) write(w *writer) {
	writeHatch(w)
	for i, c := range p.cells {
		w.open("g", "class", "cell")
		c.write(w, p.corners[i])
		w.close("g")
	}
	w.open("g", "class", "text")
	width := (p.text.Width() - columnGap*float64(p.columns-1)) / float64(p.columns)
	for i, r := range p.rows {
		at := p.at[i]
		r.draw(w, p.text.Min.Add(geom.Pt(float64(at.column)*(width+columnGap), at.y)))
	}
	w.close("g")
}
