package preview

import (
	"context"
	"math"
	"slices"

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
	step    int          // of the blanks
	views   []viewSize   // of the folded pictures, in the order of Input.Views
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
	p.writeText(w)
	return nil
}

// writeText draws the columns of text, each as a group.
func (p *page) writeText(w Surface) {
	w.Open(Paint{Class: "text"}, geom.Point{})
	column := -1
	for i, r := range p.rows {
		if at := p.at[i].column; at != column {
			if column >= 0 {
				w.Close()
			}
			w.Open(Paint{Class: "column"}, geom.Point{})
			column = at
		}
		r.draw(w, p.columnAt(p.at[i]))
	}
	if column >= 0 {
		w.Close()
	}
	w.Close()
}

// columnWidth is the width of a column of text, mm.
func (p *page) columnWidth() float64 {
	return (p.text.Width() - float64(columnGap*float64(p.columns-1))) / float64(p.columns)
}

// columnAt is where on the page a row's place is.
func (p *page) columnAt(at place) geom.Point {
	return p.text.Min.Add(geom.Pt(float64(at.column)*(p.columnWidth()+columnGap), at.y))
}

// choosePage finds the sheet: the smallest that holds the text, and on it the
// frame that allows the largest scale. Panels that find no room for their names
// lengthen the text, which may lower the scale and leave more without room, so
// the search is repeated until the notes no longer change; sheets only grow, and on
// one sheet scales only go down. The room that is left goes to the folded pictures.
// When the context ends the result comes at once and must not be used.
func choosePage(ctx context.Context, in Input) *page {
	c := newSearch(ctx, in)
	for {
		p := c.search()
		if notes := notesOf(p.cells); len(notes) != len(c.notes) && ctx.Err() == nil {
			c.notes = notes
			continue
		}
		return c.fill(p)
	}
}

// pageSearch remembers pictures already laid out while sheets are compared.
type pageSearch struct {
	ctx   context.Context
	in    Input
	flats map[int][]*cell       // by scale step, in the order of in.Blanks
	views []map[viewSize]*cell  // in the order of in.Views
	texts map[float64][]section // by width, see sections
	sheet int                   // A series number of the smallest sheet allowed
	top   int                   // largest scale step allowed on it
	notes []note
	split map[string][]string // see settingsOf; the same at every scale
}

// newSearch begins with an A4 sheet and the largest scale that is tried.
func newSearch(ctx context.Context, in Input) *pageSearch {
	c := &pageSearch{
		ctx: ctx, in: in, sheet: 4, top: mostWanted(in),
		flats: map[int][]*cell{}, texts: map[float64][]section{}, split: map[string][]string{},
	}
	for range in.Views {
		c.views = append(c.views, map[viewSize]*cell{})
	}
	return c
}

// fullSize is the size in mm from which a piece is not drawn enlarged.
const fullSize = 45.0

// mostWanted is the largest scale step that is tried: the first at which the largest
// blank or view is at least fullSize on the paper.
func mostWanted(in Input) int {
	size := 0.0
	for _, b := range in.Blanks {
		size = max(size, max(b.Bounds.Width(), b.Bounds.Height()))
	}
	for _, v := range in.Views {
		b := v.box()
		size = max(size, max(b.Width(), b.Height()))
	}
	n := 0
	for size > 0 && size*scaleStep(n) < fullSize && n < mostStep {
		n++
	}
	return n
}

// search tries sheets from A4 up and scales from the largest down.
func (c *pageSearch) search() *page {
	for ; ; c.sheet, c.top, c.notes = c.sheet-1, mostWanted(c.in), nil {
		var pages []*page
		if c.ctx.Err() != nil {
			return &page{}
		}
		for _, f := range frames(c.sheet) {
			if p := c.setText(f); p != nil {
				pages = append(pages, p)
			}
		}
		for step := c.top; step >= leastStep && len(pages) > 0 && c.ctx.Err() == nil; step-- {
			if p := c.fitting(pages, step); p != nil {
				if c.sheet > largestForRoom && c.crowded(step) {
					break // a larger sheet
				}
				c.top = step
				return p
			}
		}
	}
}

// Several pieces take a larger sheet, up to A2, if the largest of their blanks would be
// drawn smaller than leastLargest mm.
const (
	largestForRoom = 2
	leastLargest   = 60.0
)

// crowded reports whether several pieces come out too small at a step of scale.
func (c *pageSearch) crowded(step int) bool {
	size := 0.0
	for _, b := range c.in.Blanks {
		size = max(size, b.Bounds.Width(), b.Bounds.Height())
	}
	return len(c.in.Blanks) > 1 && step < c.top && size*scaleStep(step) < leastLargest
}

// viewSteps is the number of scale steps, from that of the blanks down, that are
// tried for views before the blanks are made smaller.
const viewSteps = 5

// fitting is the first page that holds the pictures with blanks at a scale
// step and views as large as may be; nil without one.
func (c *pageSearch) fitting(pages []*page, step int) *page {
	for back := range viewSteps {
		for _, p := range pages {
			if c.setPictures(p, step, c.sizesAt(step-back)) {
				return p
			}
		}
		if len(c.in.Views) == 0 {
			break
		}
	}
	return nil
}

// sections is all the text beside the drawing, in columns of a width. What does not
// depend on the notes is made once.
func (c *pageSearch) sections(width float64) []section {
	fixed, ok := c.texts[width]
	if !ok {
		fixed = sections(c.in, width)
		c.texts[width] = fixed
	}
	last := len(fixed) - 1
	return append(append(slices.Clone(fixed[:last]), noteSections(c.notes, width)...), fixed[last])
}

// setText flows the text into a frame and gives the pictures the rest, room; nil when
// the text does not fit.
func (c *pageSearch) setText(f frame) *page {
	p := &page{frame: f, room: geom.Box{Max: f.size}.Grow(-margin)}
	p.text = p.room
	ok := false
	if f.below {
		width := (p.room.Width() - float64(columnGap*float64(f.columns-1))) / float64(f.columns)
		p.rows = list(c.sections(width), width)
		var height float64
		p.at, height, ok = flowLow(p.rows, f.columns, f.size.Y*bandLimit)
		p.text.Min.Y = p.text.Max.Y - height
		p.room.Max.Y = p.text.Min.Y - columnGap
	} else {
		p.rows = list(c.sections(columnWidth), columnWidth)
		p.at, ok = flow(p.rows, f.columns, p.room.Height())
		p.text.Min.X = p.text.Max.X - float64((columnWidth+columnGap)*float64(f.columns)) + columnGap
		p.room.Max.X = p.text.Min.X - columnGap
	}
	if !ok {
		return nil
	}
	return p
}

// setPictures lays the pictures out, if they fit: blanks at a step of scale and views
// at sizes of their own. Text of blanks, which takes most of the time, is placed only
// where the lines and dimensions fit. A page keeps what it had where the pictures do not.
func (c *pageSearch) setPictures(p *page, step int, views []viewSize) bool {
	if !mayFit(c.in, p.room, scaleStep(step)) {
		return false
	}
	cells := c.cells(step, views)
	corners, ok := pack(cells, p.room)
	if !ok {
		return false
	}
	lettered := false
	for _, cell := range cells {
		if cell.letter != nil {
			cell.letter()
			lettered = true
		}
	}
	if lettered {
		corners, ok = pack(cells, p.room)
	}
	if ok {
		p.cells, p.corners, p.step, p.views = cells, corners, step, views
	}
	return ok
}

// pack places cells in the room for pictures, if they fit.
func pack(cells []*cell, room geom.Box) (corners []geom.Point, ok bool) {
	sizes := make([]geom.Point, len(cells))
	for i, cell := range cells {
		sizes[i] = cell.size
	}
	return arrange(sizes, room)
}

// cells lists every picture of the sheet, piece by piece: its blank, then its
// views; views of no piece come last.
func (c *pageSearch) cells(step int, views []viewSize) []*cell {
	if _, ok := c.flats[step]; !ok {
		for i := range c.in.Blanks {
			c.flats[step] = append(c.flats[step], flatCell(c.ctx, c.in, i, step, c.split))
		}
	}
	out := make([]*cell, 0, len(c.in.Blanks)+len(c.in.Views))
	used := make([]bool, len(c.in.Views))
	for i, b := range c.in.Blanks {
		out = append(out, c.flats[step][i])
		for j, v := range c.in.Views {
			if !used[j] && v.Piece == b.Piece.Name {
				used[j] = true
				out = append(out, c.view(j, views[j]))
			}
		}
	}
	for j := range c.in.Views {
		if !used[j] {
			out = append(out, c.view(j, views[j]))
		}
	}
	return out
}

// mayFit rules out scales at which a blank with a row of dimensions along each axis,
// its caption and its foot is larger than the room.
func mayFit(in Input, room geom.Box, scale float64) bool {
	for _, b := range in.Blanks {
		w, h := b.Bounds.Width()*scale+firstRow+pastLine, b.Bounds.Height()*scale+firstRow+pastLine
		if w > room.Width() || captionHeight+h+footGap+footHeight > room.Height() {
			return false
		}
	}
	return true
}

// notesOf lists the notes of all cells in order.
func notesOf(cs []*cell) []note {
	var out []note
	for _, c := range cs {
		out = append(out, c.notes...)
	}
	return out
}
