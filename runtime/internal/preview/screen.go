package preview

import (
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// How the sheet behaves where it is looked at in a browser. Width and height stay
// the paper's in the file, since programs that print, place or convert drawings read
// the size there and know no style sheets; the style sheet, for browsers alone, makes
// the sheet as wide as the window, and sets the size of the paper for print.
//
// In a narrow upright window the pictures and the columns of text
// are stacked, each as wide as the window. The condition on the window's proportions
// keeps a page that shows the sheet as a small picture from being handed a stack: there
// the window is of the sheet's own proportions, which are never so slim.

// narrowScreen begins the rules for a narrow window.
const narrowScreen = "@media screen and (max-width:640px) and (max-aspect-ratio:5/8){"

const (
	stackMargin = 8.0 // about and between what is stacked, px at narrowWidth
	narrowWidth = 400 // px, the window for which scales are chosen

	// Bounds of the scale of what is stacked, px a mm of the page: lettering is
	// 3.5 mm, 8.4 to 12.6 px, and the type of tables 2.55 mm, at most 14 px.
	// Wider pictures make the stack wider than the window.
	leastNarrow = 2.4
	mostPicture = 3.6
	mostTable   = 5.5
)

// parts lists what can be stacked in a narrow window: the cells and the columns of
// text, as boxes on the page. Columns are filled one after the other (flow), so that
// none of those is empty.
func (p *page) parts() (cells, columns []geom.Box) {
	for i, c := range p.cells {
		cells = append(cells, geom.BoxOf(p.corners[i], p.corners[i].Add(c.size)))
	}
	for i, r := range p.rows {
		at := p.columnAt(p.at[i])
		box := geom.BoxOf(at, at.Add(geom.Pt(p.columnWidth(), r.height)))
		if n := len(columns); n > p.at[i].column {
			columns[n-1] = columns[n-1].Union(box)
		} else {
			columns = append(columns, box)
		}
	}
	return cells, columns
}

// style is the sheet's style sheet.
func (s *Sheet) style() string {
	var b strings.Builder
	b.WriteString(pageStyle(s.Size) + narrowScreen)
	s.stack(&b)
	b.WriteString("}")
	return b.String()
}

// faultStyle is the style sheet of a fault, whose box is wider than a narrow window: it
// stays large enough to read, and the window is moved over it.
func faultStyle(size geom.Point) string {
	return pageStyle(size) + fmt.Sprintf("%ssvg:root{width:%spx}}", narrowScreen, num(size.X*leastNarrow))
}

// pageStyle sets the page for print and the width of the window for screens.
func pageStyle(size geom.Point) string {
	return fmt.Sprintf("@page{size:%smm %smm;margin:0}@media screen{svg:root{width:100%%;height:auto}}", num(size.X), num(size.Y))
}

// stack writes the rules that put the parts one below the other.
//
// Places are reckoned in units of which a window is Size.X wide. The whole is wide times
// as wide as the window, and the view box is laid over the whole, so that all is
// divided by wide where it is written.
func (s *Sheet) stack(b *strings.Builder) {
	unit := s.Size.X / narrowWidth // a px
	gap := stackMargin * unit
	cells, columns := s.page.parts()
	wide := 1.0
	for _, box := range append(slices.Clone(cells), columns...) {
		wide = max(wide, (float64(box.Width()*leastNarrow*unit)+2*gap)/s.Size.X)
	}
	y := gap
	put := func(class string, boxes []geom.Box, most float64) {
		for i, box := range boxes {
			scale := min(max((s.Size.X-2*gap)/box.Width(), leastNarrow*unit), most*unit)
			at := geom.Pt(gap, y).Sub(box.Min.Mul(scale)).Mul(1 / wide)
			fmt.Fprintf(b, ".%s:nth-of-type(%d){transform:translate(%spx,%spx) scale(%s)}",
				class, i+1, num(at.X), num(at.Y), num(scale/wide))
			y += float64(box.Height()*scale) + 2*gap
		}
	}
	put("cell", cells, mostPicture)
	put("column", columns, mostTable)
	height := max(y, wide*s.Size.Y) // below that the view box would be made smaller to fit
	fmt.Fprintf(b, "svg:root{width:%svw;height:%svw;background:white}", num(100*wide), num(100*height/s.Size.X))
}

// describe says in words what a sheet shows, for who does not see it.
func describe(in Input) string {
	var b strings.Builder
	for _, l := range in.Blanks {
		fmt.Fprintf(&b, "%s laid flat, %s by %s mm", l.Piece.Name, dimText(l.Bounds.Width()), dimText(l.Bounds.Height()))
		for _, v := range in.Views {
			if v.Piece == l.Piece.Name {
				b.WriteString("; folded: " + v.Title)
			}
		}
		b.WriteString(". ")
	}
	switch n := len(in.Findings); n {
	case 0:
		b.WriteString("No findings.")
	case 1:
		b.WriteString("One finding.")
	default:
		fmt.Fprintf(&b, "%d findings.", n)
	}
	return b.String()
}
