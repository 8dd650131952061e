package preview

import (
	"github.com/creasewright/creasewright/runtime/geom"
)

// row is one unbreakable piece of the sheet's text.
type row struct {
	height float64
	before float64 // space above it, except at the top of a column
	keep   bool    // stays with the row after it
	draw   func(w Surface, at geom.Point)
}

// section is a heading with rows. Sections without rows are left out.
type section struct {
	heading string
	rows    []row
}

const (
	sectionGap   = 4.2
	headHeight   = 4.6
	wholeSection = 9 // rows up to which a section stays in one column
)

// headFont is the type of section headings.
var headFont = font{tableType, true}

// list turns sections into one run of rows, each heading kept with the first
// row of its section.
func list(secs []section, width float64) []row {
	var out []row
	for _, s := range secs {
		if len(s.rows) == 0 {
			continue
		}
		if s.heading != "" {
			out = append(out, row{height: headHeight, before: sectionGap, keep: true, draw: headingOf(s.heading, width)})
		}
		whole := len(s.rows) <= wholeSection
		for i, r := range s.rows {
			r.keep = r.keep || whole && i+1 < len(s.rows)
			out = append(out, r)
		}
	}
	return out
}

// headingOf draws a heading under a rule as wide as the column.
func headingOf(text string, width float64) func(Surface, geom.Point) {
	return func(w Surface, p geom.Point) {
		line(w, p, p.Add(geom.Pt(width, 0)), stroked(ruleColour, narrow))
		writeText(w, text, headFont, p.Add(geom.Pt(0, 2.4)), 0, AtStart, greyColour)
	}
}

// place is where a row goes: its column and its distance from the top.
type place struct {
	column int
	y      float64
}

// flow fills columns of a height one after the other; ok is false when the
// rows need more columns than there are.
func flow(rows []row, columns int, height float64) (at []place, ok bool) {
	at = make([]place, len(rows))
	column, y := 0, 0.0
	for i := 0; i < len(rows); {
		j, need := i, 0.0
		for ; j < len(rows); j++ { // a run of rows that stay together
			need += rows[j].height
			if j > i {
				need += rows[j].before
			}
			if !rows[j].keep {
				j++
				break
			}
		}
		lead := rows[i].before
		if y == 0 {
			lead = 0
		}
		if y+lead+need > height && y > 0 {
			column, y, lead = column+1, 0, 0
		}
		if column >= columns || need > height {
			return nil, false
		}
		for ; i < j; i++ {
			y += lead
			at[i] = place{column, y}
			y += rows[i].height
			if i+1 < j {
				lead = rows[i+1].before
			}
		}
	}
	return at, true
}

// flowLow is flow with the least height, in steps of a millimetre, at which
// the columns hold the rows, up to limit.
func flowLow(rows []row, columns int, limit float64) (at []place, height float64, ok bool) {
	sum := 0.0
	for _, r := range rows {
		sum += r.height
	}
	for height = sum / float64(columns); height <= limit; height++ {
		if at, ok = flow(rows, columns, height); ok {
			return at, height, true
		}
	}
	return nil, 0, false
}

// cellGap is the least distance between cells, mm.
const cellGap = 9.0

// shelf is a row of columns; a column is one cell, or several small ones one
// above the other beside a taller neighbour.
type shelf struct {
	columns       []column
	width, height float64 // with the least gaps
}

// column is cells one above the other, by index; the height includes the gaps.
type column struct {
	cells         []int
	width, height float64
}

// arrange puts cells on shelves in their order and spreads them evenly over the
// room: the gaps between shelves, and above and below them, come out alike, and
// so do those on the widest shelf, which sets the left edge and the gaps of
// all. Where that does not fit, columns beside the first of a shelf may be as high
// as the room. ok is false when the cells do not fit.
func arrange(sizes []geom.Point, room geom.Box) (at []geom.Point, ok bool) {
	if at, ok = spread(sizes, room, shelve(sizes, room.Width(), 0)); ok {
		return at, true
	}
	return spread(sizes, room, shelve(sizes, room.Width(), room.Height()))
}

// spread places the cells of shelves evenly over the room, if they fit.
func spread(sizes []geom.Point, room geom.Box, shelves []shelf) (at []geom.Point, ok bool) {
	used, widest := 0.0, shelf{}
	for _, s := range shelves {
		used += s.height
		if s.width > widest.width {
			widest = s
		}
	}
	free := room.Height() - used
	if widest.width > room.Width() || free < cellGap*float64(len(shelves)-1) {
		return nil, false
	}
	between, above := share(free, len(shelves))
	bare := cellGap * float64(len(widest.columns)-1)
	beside, left := share(room.Width()-widest.width+bare, len(widest.columns))
	span := widest.width - bare + float64(beside*float64(len(widest.columns)-1))
	at = make([]geom.Point, len(sizes))
	y := room.Min.Y + above
	for _, s := range shelves {
		s.place(sizes, geom.Pt(room.Min.X+left, y), min(beside, s.widestGap(span)), at)
		y += s.height + between
	}
	return at, true
}

// share divides free room between n things and the two rims: the gap between
// them, never below cellGap, and the gap at the rims.
func share(free float64, n int) (between, rim float64) {
	between = max(free/float64(n+1), cellGap)
	return between, max(0, (free-float64(between*float64(n-1)))/2)
}

// widestGap is the gap at which the shelf is as wide as span.
func (s shelf) widestGap(span float64) float64 {
	if len(s.columns) < 2 {
		return cellGap
	}
	return cellGap + (span-s.width)/float64(len(s.columns)-1)
}

// place sets the corners of the shelf's cells, its own upper left corner at p and its
// columns gap apart.
func (s shelf) place(sizes []geom.Point, p geom.Point, gap float64, at []geom.Point) {
	for _, c := range s.columns {
		y := p.Y
		for _, i := range c.cells {
			at[i] = geom.Pt(p.X, y)
			y += sizes[i].Y + cellGap
		}
		p.X += c.width + gap
	}
}

// shelve fills shelves one after the other; their columns but the first may be high mm
// even where the shelf grows taller by it.
func shelve(sizes []geom.Point, width, high float64) []shelf {
	var out []shelf
	for i, size := range sizes {
		if len(out) == 0 || !out[len(out)-1].take(i, size, width, high) {
			s := shelf{width: -cellGap}
			s.open(i, size)
			out = append(out, s)
		}
	}
	return out
}

// take adds a cell under the last column, if the shelf grows no taller by it or not
// above high, or else beside it; false when the shelf is full.
func (s *shelf) take(i int, size geom.Point, width, high float64) bool {
	last := &s.columns[len(s.columns)-1]
	wider := max(0, size.X-last.width)
	limit := s.height
	if len(s.columns) > 1 {
		limit = max(limit, high)
	}
	if last.height+cellGap+size.Y <= limit && s.width+wider <= width {
		last.cells = append(last.cells, i)
		last.height += cellGap + size.Y
		s.height = max(s.height, last.height)
		last.width += wider
		s.width += wider
		return true
	}
	if s.width+cellGap+size.X > width {
		return false
	}
	s.open(i, size)
	return true
}

// open starts a column.
func (s *shelf) open(i int, size geom.Point) {
	s.columns = append(s.columns, column{[]int{i}, size.X, size.Y})
	s.width += cellGap + size.X
	s.height = max(s.height, size.Y)
}
