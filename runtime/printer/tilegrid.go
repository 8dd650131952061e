package printer

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Measures of prints on paper that many have at home, mm; the live page spreads blanks
// over paper in the same way.
const (
	paperMargin = 10.0 // what desktop printers may leave white (common practice, no source)
	overlap     = 8.0  // what two neighbouring sheets both show
	air         = 1.0  // kept clear round the blank, so that no line is halved
	mostSheets  = 250  // half a ream; nobody tapes more
)

// tile is one sheet of a grid: the window of the blank that it shows, and its core, the window
// up to the middle of each overlap. Lengths are mm in the frame of the laid blank, y up.
type tile struct {
	row, column  int // from 0, from the top and the left
	window, core geom.Box
	number       int // from 1; 0 for one that is left out
}

// joint is a mark on the middle of the overlap of two sheets, drawn on both at the same
// place of the blank. Its number is found nowhere else.
type joint struct {
	number  int
	upright bool // the seam
	at      geom.Point
	sheets  [2]int
}

// tiling is how a blank is spread over sheets.
type tiling struct {
	rows, columns, sheets int
	tiles                 []tile // by row, then by column; nil where there are too many
	joints                []joint
}

// divide cuts a length into the fewest windows, each sharing the overlap with the next
// one, and centres what is left over. start is of the first window.
func divide(length, window float64) (count int, start float64) {
	needed := length + 2*air
	count = 1
	if needed > window {
		count = int(math.Ceil((needed-overlap)/(window-overlap) - 1e-9))
	}
	covered := float64(float64(count)*(window-overlap)) + overlap
	return count, (length - covered) / 2
}

// tileUp spreads a blank of a size over windows of one size. empty says that a box shows
// nothing. The cores of the tiles partition what is covered, so that a tile whose core is
// empty can be left out: the rest of it is on its neighbours.
func tileUp(size, window geom.Point, empty func(geom.Box) bool) tiling {
	columns, left := divide(size.X, window.X)
	rows, low := divide(size.Y, window.Y)
	out := tiling{rows: rows, columns: columns}
	for row := range rows {
		for column := range columns {
			x := left + float64(float64(column)*(window.X-overlap))
			y := low + float64(float64(rows-1-row)*(window.Y-overlap))
			t := tile{row: row, column: column, window: geom.Box{Min: geom.Pt(x, y), Max: geom.Pt(x+window.X, y+window.Y)}}
			t.core = t.window
			if column > 0 {
				t.core.Min.X += overlap / 2
			}
			if column < columns-1 {
				t.core.Max.X -= overlap / 2
			}
			if row < rows-1 {
				t.core.Min.Y += overlap / 2
			}
			if row > 0 {
				t.core.Max.Y -= overlap / 2
			}
			if !empty(t.core) {
				out.sheets++
				t.number = out.sheets
			}
			out.tiles = append(out.tiles, t)
		}
	}
	out.joints = out.joining()
	return out
}

// at is the tile of a row and column, nil off the grid and where it is left out.
func (g *tiling) at(row, column int) *tile {
	if row < 0 || column < 0 || row >= g.rows || column >= g.columns {
		return nil
	}
	if t := &g.tiles[row*g.columns+column]; t.number > 0 {
		return t
	}
	return nil
}

// joining puts two marks on each seam between two sheets.
func (g *tiling) joining() []joint {
	var out []joint
	join := func(a, b *tile, upright bool, place func(share float64) geom.Point) {
		if b == nil {
			return
		}
		for _, share := range [...]float64{0.25, 0.75} {
			out = append(out, joint{len(out) + 1, upright, place(share), [2]int{a.number, b.number}})
		}
	}
	for i := range g.tiles {
		t := &g.tiles[i]
		if t.number == 0 {
			continue
		}
		c := t.core
		join(t, g.at(t.row, t.column+1), true, func(s float64) geom.Point { return geom.Pt(c.Max.X, c.Max.Y-float64(s*c.Height())) })
		join(t, g.at(t.row+1, t.column), false, func(s float64) geom.Point { return geom.Pt(c.Min.X+float64(s*c.Width()), c.Min.Y) })
	}
	return out
}

// spread lays a blank on paper of a size, upright or lying: on the fewest printed sheets,
// then the fewest tiles, then upright. below is the height of what stands under a window of
// a width. Windows far too many to be taped are counted, not looked into.
func spread(size, paper geom.Point, below func(width float64) float64, empty func(geom.Box) bool) (page geom.Point, best tiling) {
	for i, p := range [...]geom.Point{paper, geom.Pt(paper.Y, paper.X)} {
		window := geom.Pt(p.X-2*paperMargin, p.Y-2*paperMargin)
		window.Y -= below(window.X)
		if window.Y < 2*overlap {
			continue
		}
		columns, _ := divide(size.X, window.X)
		rows, _ := divide(size.Y, window.Y)
		g := tiling{rows: rows, columns: columns, sheets: rows * columns}
		if g.sheets <= 4*mostSheets {
			g = tileUp(size, window, empty)
		}
		if i == 0 || best.sheets == 0 || g.sheets < best.sheets || g.sheets == best.sheets && g.rows*g.columns < best.rows*best.columns {
			page, best = p, g
		}
	}
	return page, best
}

// touches says whether a line from p to q has a point in a box (clipping by the four
// sides in turn, after Liang and Barsky, 1984).
func touches(p, q geom.Point, b geom.Box) bool {
	d := q.Sub(p)
	from, to := 0.0, 1.0
	for _, side := range [4][2]float64{{-d.X, p.X - b.Min.X}, {d.X, b.Max.X - p.X}, {-d.Y, p.Y - b.Min.Y}, {d.Y, b.Max.Y - p.Y}} {
		switch slope, room := side[0], side[1]; {
		case slope == 0 && room < 0:
			return false
		case slope < 0:
			from = max(from, room/slope)
		case slope > 0:
			to = min(to, room/slope)
		}
		if from > to {
			return false
		}
	}
	return true
}
