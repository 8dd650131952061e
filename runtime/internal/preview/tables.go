package preview

import (
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Block is a part of pages of tables, in the type of the sheet.
type Block struct {
	Heading string
	Large   bool // a heading over the blocks that follow
	Items   []Item
}

// Item is a part of a block: a Fact, Words, a Note or a Table.
type Item interface{ rows(width float64) []row }

// Fact is a name and what it is, Column mm to the right of it.
type Fact struct {
	Name, Value string
	Column      float64
}

// Words are sentences in the type of facts.
type Words string

// Note is a sentence in quiet type.
type Note string

// Table is rows of texts under the names of its columns. One column is wide: it takes the
// width that the others leave, and wraps; these are as wide as what stands in them.
type Table struct {
	Columns []Column
	Wide    int // which it is
	Rows    [][]string
}

// Column is a column of a table.
type Column struct {
	Name  string
	Right bool // set flush right, as figures are
}

// Measures of pages of tables, mm.
const (
	pageColumns  = 2
	footDrop     = 7.0  // what the foot takes below the text
	tableRoom    = 3.0  // between the columns of a table
	mostNote     = 14   // lines of one note or fact
	leastWide    = 18.0 // width of the wide column
	largeHead    = 7.0
	largeLeading = 4.6
	mostWhole    = 50.0 // height up to which a block stays in one column
)

// largeFont is the type of large headings.
var largeFont = font{lettering, true}

// Tables lays blocks out on pages of a size in mm, in columns that fill one page after the
// other; those of the last page are about equally long. At the foot stand a line, and the
// page's number of all, counted with before pages that are not these.
func Tables(size geom.Point, foot string, before int, blocks []Block) []*Sheet {
	text := geom.Box{Max: size}.Grow(-margin)
	text.Max.Y -= footDrop
	p := page{frame: frame{size: size, columns: pageColumns}, text: text}
	width := p.columnWidth()
	var rows []row
	for _, b := range blocks {
		rows = append(rows, b.rows(width)...)
	}
	at, _ := flow(rows, len(rows)+1, text.Height()) // no row and no run of rows is as high as a page
	var pages [][]row
	for i, r := range rows {
		n := at[i].column / pageColumns
		for len(pages) <= n {
			pages = append(pages, nil)
		}
		pages[n] = append(pages[n], r)
	}
	var out []*Sheet
	for i, rows := range pages {
		q := p
		q.rows = rows
		if i+1 == len(pages) {
			q.at, _, _ = flowLow(rows, pageColumns, text.Height())
		}
		if q.at == nil {
			q.at, _ = flow(rows, pageColumns, text.Height())
		}
		number := fmt.Sprintf("page %d of %d", before+i+1, before+len(pages))
		q.rows, q.at = append(q.rows, footRow(foot, number, text.Width())), append(q.at, place{0, text.Height()})
		out = append(out, &Sheet{Title: foot, Size: size, desc: number, page: &q})
	}
	return out
}

// footRow is the line at the foot of a page.
func footRow(foot, number string, width float64) row {
	return row{height: leading, draw: func(w Surface, p geom.Point) {
		p = p.Add(geom.Pt(0, footDrop-leading/2))
		left := width - textFont.width(number) - tableRoom
		writeText(w, textFont.shorten(diag.Printable(foot), left), textFont, p, 0, AtStart, greyColour)
		writeText(w, number, textFont, p.Add(geom.Pt(width, 0)), 0, AtEnd, greyColour)
	}}
}

// rows are those of a block with its heading; none where it has no items and no large
// heading.
func (b Block) rows(width float64) []row {
	var items []row
	for _, i := range b.Items {
		items = append(items, i.rows(width)...)
	}
	high := 0.0
	for _, r := range items {
		high += r.height
	}
	for i := range items {
		items[i].keep = items[i].keep || high <= mostWhole && i+1 < len(items)
	}
	if !b.Large {
		if len(items) == 0 {
			return nil
		}
		heading := headFont.shorten(diag.Printable(b.Heading), width)
		head := row{height: headHeight, before: sectionGap, keep: true, draw: headingOf(heading, width)}
		if heading == "" {
			return items
		}
		return append([]row{head}, items...)
	}
	lines := largeFont.clip(largeFont.wrap(diag.Printable(b.Heading), width), mostTitle, width)
	head := row{height: largeHead + largeLeading*float64(len(lines)-1), before: largeHead, keep: true, draw: func(w Surface, p geom.Point) {
		line(w, p, p.Add(geom.Pt(width, 0)), stroked(inkColour, wide))
		for i, l := range lines {
			writeText(w, l, largeFont, p.Add(geom.Pt(0, largeHead/2+float64(largeLeading*float64(i)))), 0, AtStart, inkColour)
		}
	}}
	return append([]row{head}, items...)
}

func (f Fact) rows(width float64) []row {
	out := wrapped(f.Value, width-f.Column, inkColour)
	name := textFont.shorten(diag.Printable(f.Name), f.Column-columnRoom)
	for i, r := range out {
		out[i] = indented(r, f.Column)
		if draw := out[i].draw; i == 0 {
			out[i].draw = func(w Surface, p geom.Point) {
				writeText(w, name, textFont, p.Add(geom.Pt(0, leading/2)), 0, AtStart, greyColour)
				draw(w, p)
			}
		}
	}
	return out
}

func (n Note) rows(width float64) []row { return wrapped(string(n), width, greyColour) }

func (n Words) rows(width float64) []row { return wrapped(string(n), width, inkColour) }

// wrapped is a text in lines that stay together.
func wrapped(text string, width float64, colour string) []row {
	var out []row
	lines := textFont.clip(textFont.wrap(diag.Printable(text), width), mostNote, width)
	for i, l := range lines {
		r := textRow(l, textFont, colour)
		r.keep = i+1 < len(lines)
		out = append(out, r)
	}
	return out
}

func (t Table) rows(width float64) []row {
	if len(t.Rows) == 0 {
		return nil
	}
	head := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		head[i] = c.Name
	}
	widths := t.widths(width)
	first := t.row(head, widths, greyColour)
	first.keep = true
	out := []row{first}
	for _, r := range t.Rows {
		out = append(out, t.row(r, widths, inkColour))
	}
	return out
}

// widths are those of the columns. Where they leave the wide one no room, the widest of the
// others are cut down to one width.
func (t Table) widths(width float64) []float64 {
	out := make([]float64, len(t.Columns))
	var others []float64
	for i, c := range t.Columns {
		if i == t.Wide {
			continue
		}
		out[i] = textFont.width(c.Name)
		for _, r := range t.Rows {
			out[i] = max(out[i], textFont.width(diag.Printable(r[i])))
		}
		others = append(others, out[i])
	}
	left := width - float64(tableRoom*float64(len(others)))
	// The narrow ones take what they need as long as that is no more than an equal share.
	slices.Sort(others)
	room, share := left-leastWide, left
	for i, w := range others {
		share = room / float64(len(others)-i)
		if w > share {
			break
		}
		room, share = room-w, left
	}
	for i := range out {
		if i != t.Wide {
			out[i] = min(out[i], share)
			left -= out[i]
		}
	}
	out[t.Wide] = left
	return out
}

// row sets the texts of one row.
func (t Table) row(texts []string, widths []float64, colour string) row {
	wide := textFont.clip(textFont.wrap(diag.Printable(texts[t.Wide]), widths[t.Wide]), mostLines, widths[t.Wide])
	return row{height: leading * float64(max(1, len(wide))), draw: func(w Surface, p geom.Point) {
		p.Y += leading / 2
		for i, text := range texts {
			lines := []string{textFont.shorten(diag.Printable(text), widths[i])}
			if i == t.Wide {
				lines = wide
			}
			at, anchor := p, AtStart
			if t.Columns[i].Right {
				at.X, anchor = p.X+widths[i], AtEnd
			}
			for k, l := range lines {
				writeText(w, l, textFont, at.Add(geom.Pt(0, float64(leading*float64(k)))), 0, anchor, colour)
			}
			p.X += widths[i] + tableRoom
		}
	}}
}

// Title is a block that heads pages of tables, as the sheet is headed.
func Title(title, subtitle string) Block { return Block{Items: []Item{titleItem{title, subtitle}}} }

// titleItem is a title, and a line in quiet type.
type titleItem struct{ title, subtitle string }

func (t titleItem) rows(width float64) []row {
	lines, style := setTitle(strings.TrimSuffix(diag.Printable(t.title), "."), width)
	var out []row
	for _, l := range lines {
		out = append(out, row{height: style.leading, keep: true, draw: func(w Surface, p geom.Point) {
			writeText(w, l, style.font, p.Add(geom.Pt(0, style.middle)), 0, AtStart, inkColour)
		}})
	}
	return append(out, textRow(textFont.shorten(diag.Printable(t.subtitle), width), textFont, greyColour))
}

// Figures of sheets, for whoever writes tables beside them.

// Size is a length in mm as sheets have it: to a hundredth.
func Size(mm float64) string { return dimText(mm) }

// Area is an area in the unit in which it is easiest to read, with four figures.
func Area(mm2 float64) string { return areaText(mm2) }

// Mass is a mass of g grams in g or kg, with four figures.
func Mass(g float64) string { return massText(g) }
