package preview

import "github.com/creasewright/creasewright/runtime/geom"

// cellGap is the least distance between cells, mm.
const cellGap = 9.0

// shelf is a row of columns; a column is one cell, or several small ones one
// above the other beside a taller neighbour.
type shelf struct {
	columns       []column
	width, height float64 // with the least gaps
}

type column struct {
	cells         []int
	width, height float64
}

// arrange puts cells on shelves in their order and spreads them evenly over the
// room: the gaps between shelves, and above and below them, come out alike, and
// so do those on the widest shelf, which sets the left edge and the gaps of
// all. ok is false when the cells do not fit.
func arrange(sizes []geom.Point, room geom.Box) (at []geom.Point, ok bool) {
	shelves := shelve(sizes, room.Width())
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

// shelve fills shelves one after the other.
func shelve(sizes []geom.Point, width float64) []shelf {
	var out []shelf
	for i, size := range sizes {
		if len(out) == 0 || !out[len(out)-1].take(i, size, width) {
			s := shelf{width: -cellGap}
			s.open(i, size)
			out = append(out, s)
		}
	}
	return out
}

// take adds a cell under the last column, if the shelf grows no taller by it,
// or else beside it; false when the shelf is full.
func (s *shelf) take(i int, size geom.Point, width float64) bool {
	last := &s.columns[len(s.columns)-1]
	wider := max(0, size.X-last.width)
	if last.height+cellGap+size.Y <= s.height && s.width+wider <= width {
		last.cells = append(last.cells, i)
		last.height += cellGap + size.Y
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
