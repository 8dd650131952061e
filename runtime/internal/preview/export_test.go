package preview

import (
	"maps"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// SheetText is a text of a sheet read back from its file, for tests that make whole
// designs.
type SheetText struct {
	Text  string
	Mid   geom.Point
	Turn  float64  // of its direction, radians
	Class []string // of the groups it stands in, outermost first
	tile  tile
}

// Meets reports whether two texts overlap, by the widths used in drawing.
func (x SheetText) Meets(y SheetText) bool { return x.tile.meets(y.tile) }

// In reports whether the text stands in a group of the class.
func (x SheetText) In(class string) bool { return in(x.Class, class) }

// SheetTexts reads a sheet's texts.
func SheetTexts(t testing.TB, svg []byte) []SheetText {
	t.Helper()
	var out []SheetText
	for _, x := range readBack(t, svg).texts {
		out = append(out, SheetText{x.text, x.tile.mid, x.tile.along.Angle().Radians(), x.class, x.tile})
	}
	return out
}

// SheetView is a folded view of a sheet read back from its file.
type SheetView struct {
	Caption  string
	Pictures []geom.Box // on the page, the first first
	// Across and Up are what the view has of the page: its cell widened to the sides, or
	// up and down, as far as the gap to something else, without the caption.
	Across, Up float64
}

// SheetViews reads a sheet's folded views.
func SheetViews(t testing.TB, svg []byte) []SheetView {
	t.Helper()
	s := readBack(t, svg)
	cells := map[int]geom.Box{}         // by number; 0 is the text
	views := map[int]map[int]geom.Box{} // pictures by the number of the cell and their own
	said := map[int]string{}
	add := func(class []string, nth [2]int, pts ...geom.Point) {
		cell := nth[0]
		if !in(class, "cell") {
			cell = 0
		}
		cells[cell] = grown(cells, cell, pts)
		if in(class, "folded") {
			if views[cell] == nil {
				views[cell] = map[int]geom.Box{}
			}
			views[cell][nth[1]] = grown(views[cell], nth[1], pts)
		}
	}
	for _, p := range s.strokes {
		for _, seg := range p.segs {
			add(p.class, p.nth, seg.a, seg.b)
		}
	}
	for _, x := range s.texts {
		b := x.tile.bounds()
		add(x.class, x.nth, b.Min, b.Max)
		if in(x.class, "cell") {
			said[x.nth[0]] += x.text + " "
		}
	}
	page := geom.Box{Max: geom.Pt(s.width, s.height)}.Grow(-margin)
	var out []SheetView
	for _, cell := range slices.Sorted(maps.Keys(views)) {
		v := SheetView{Caption: said[cell]}
		for _, n := range slices.Sorted(maps.Keys(views[cell])) {
			v.Pictures = append(v.Pictures, views[cell][n])
		}
		v.Across, v.Up = placeOf(cell, cells, page)
		v.Up -= captionHeight
		out = append(out, v)
	}
	return out
}

// grown is one of several boxes with points added.
func grown(boxes map[int]geom.Box, n int, pts []geom.Point) geom.Box {
	b, ok := boxes[n]
	if !ok {
		b = geom.EmptyBox()
	}
	for _, p := range pts {
		b = b.Add(p)
	}
	return b
}

// placeOf is how far a cell could be widened to the sides, and up and down.
func placeOf(cell int, cells map[int]geom.Box, page geom.Box) (across, up float64) {
	own, x, y := cells[cell], page, page
	for n, b := range cells {
		if n == cell {
			continue
		}
		b = b.Grow(columnGap)
		if b.Min.Y < own.Max.Y && b.Max.Y > own.Min.Y {
			if b.Mid().X < own.Mid().X {
				x.Min.X = max(x.Min.X, b.Max.X)
			} else {
				x.Max.X = min(x.Max.X, b.Min.X)
			}
		}
		if b.Min.X < own.Max.X && b.Max.X > own.Min.X {
			if b.Mid().Y < own.Mid().Y {
				y.Min.Y = max(y.Min.Y, b.Max.Y)
			} else {
				y.Max.Y = min(y.Max.Y, b.Min.Y)
			}
		}
	}
	return x.Width(), y.Height()
}
