package preview

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// cellGap is the least distance between cells, mm.
const cellGap = 9.0

// arrange puts cells into rows in their order, spread evenly over the room:
// the gaps between rows, and above and below them, come out alike, and so do
// those in a row. ok is false when they do not fit.
func arrange(sizes []geom.Point, room geom.Box) (at []geom.Point, ok bool) {
	rows := shelve(sizes, room.Width())
	heights := make([]float64, len(rows))
	used := 0.0
	for i, r := range rows {
		if rowWidth(sizes, r) > room.Width() {
			return nil, false
		}
		for _, j := range r {
			heights[i] = math.Max(heights[i], sizes[j].Y)
		}
		used += heights[i]
	}
	free := room.Height() - used
	if free < cellGap*float64(len(rows)-1) {
		return nil, false
	}
	at = make([]geom.Point, len(sizes))
	gap := evenGap(free, len(rows))
	y := room.Min.Y + outerGap(free, gap, len(rows))
	for i, r := range rows {
		spread(sizes, r, room, y, at)
		y += heights[i] + gap
	}
	return at, true
}

// shelve fills rows one after the other.
func shelve(sizes []geom.Point, width float64) [][]int {
	var rows [][]int
	x := 0.0
	for i, s := range sizes {
		if len(rows) == 0 || x+s.X > width {
			rows = append(rows, nil)
			x = 0
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], i)
		x += s.X + cellGap
	}
	return rows
}

func rowWidth(sizes []geom.Point, row []int) float64 {
	w := cellGap * float64(len(row)-1)
	for _, i := range row {
		w += sizes[i].X
	}
	return w
}

// spread places one row's cells at height y with even gaps.
func spread(sizes []geom.Point, row []int, room geom.Box, y float64, at []geom.Point) {
	free := room.Width() - rowWidth(sizes, row) + cellGap*float64(len(row)-1)
	gap := evenGap(free, len(row))
	x := room.Min.X + outerGap(free, gap, len(row))
	for _, i := range row {
		at[i] = geom.Pt(x, y)
		x += sizes[i].X + gap
	}
}

// evenGap shares free room between n cells and the two rims, but never takes a
// gap below cellGap.
func evenGap(free float64, n int) float64 {
	return math.Max(free/float64(n+1), cellGap)
}

func outerGap(free, gap float64, n int) float64 {
	return math.Max(0, (free-gap*float64(n-1))/2)
}
