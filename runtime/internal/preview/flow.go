package preview

import "github.com/creasewright/creasewright/runtime/geom"

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

var headFont = font{2.3, true}

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
