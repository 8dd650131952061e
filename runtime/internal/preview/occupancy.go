package preview

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// tile is a rectangle at any angle: what a line of text takes up.
type tile struct {
	mid    geom.Point
	along  geom.Point // unit, the direction the text runs
	hx, hy float64    // half its extent along and across
}

// corners gives the corners in order round the tile.
func (t tile) corners() [4]geom.Point {
	u, v := t.along.Mul(t.hx), t.along.Left().Mul(t.hy)
	return [4]geom.Point{
		t.mid.Sub(u).Sub(v), t.mid.Add(u).Sub(v), t.mid.Add(u).Add(v), t.mid.Sub(u).Add(v),
	}
}

// bounds is the axis-aligned box round the tile.
func (t tile) bounds() geom.Box {
	c := t.corners()
	return geom.BoxOf(c[:]...)
}

// grow is the tile with d mm more on every side.
func (t tile) grow(d float64) tile {
	t.hx, t.hy = t.hx+d, t.hy+d
	return t
}

// local gives p in the tile's own axes.
func (t tile) local(p geom.Point) geom.Point {
	d := p.Sub(t.mid)
	return geom.Pt(d.Dot(t.along), d.Dot(t.along.Left()))
}

// crosses reports whether the segment from a to b meets the tile: Liang and
// Barsky's clipping in the tile's own axes.
func (t tile) crosses(a, b geom.Point) bool {
	p, q := t.local(a), t.local(b)
	lo, hi := 0.0, 1.0
	return clipAxis(p.X, q.X-p.X, t.hx, &lo, &hi) && clipAxis(p.Y, q.Y-p.Y, t.hy, &lo, &hi)
}

// clipAxis narrows [lo, hi] to where |p + t·d| ≤ h; false when nothing is left.
func clipAxis(p, d, h float64, lo, hi *float64) bool {
	if d == 0 {
		return math.Abs(p) <= h
	}
	a, b := (-h-p)/d, (h-p)/d
	if a > b {
		a, b = b, a
	}
	*lo, *hi = max(*lo, a), min(*hi, b)
	return *lo <= *hi
}

// meets reports whether two tiles overlap, by the separating axis theorem.
func (t tile) meets(o tile) bool {
	return !t.apart(o) && !o.apart(t)
}

// apart reports whether one of t's own axes separates the tiles: along it their
// half extents add up to no more than the distance of their middles.
func (t tile) apart(o tile) bool {
	d := t.local(o.mid)
	cos, sin := math.Abs(t.along.Dot(o.along)), math.Abs(t.along.Cross(o.along))
	return math.Abs(d.X) >= t.hx+float64(o.hx*cos)+float64(o.hy*sin) || math.Abs(d.Y) >= t.hy+float64(o.hx*sin)+float64(o.hy*cos)
}

// occupancy remembers what is on the paper, so that new text finds room. A grid of
// squares keeps each question to its neighbourhood.
type occupancy struct {
	lines []segment
	tiles []tile
	grid  map[[2]int32]*square
	spare []square            // of the grid, not in use yet
	split map[string][]string // names broken into lines, for all pictures of a sheet; may be nil
}

// segment is a straight stroke on the paper.
type segment struct{ a, b geom.Point }

// square holds the places in occupancy.lines and occupancy.tiles of what touches it.
type square struct{ lines, tiles []int32 }

// squareSize in mm is about the length of a short label.
const squareSize = 6.0

// spareSquares is how many squares are made at a time, and squareRoom how many lines
// and how many tiles one holds before it needs room of its own.
const (
	spareSquares = 64
	squareRoom   = 4
)

// newOccupancy is an empty occupancy grid.
func newOccupancy() *occupancy { return &occupancy{grid: map[[2]int32]*square{}} }

// squareOf is the number of the grid's row or column that holds a coordinate in mm.
func squareOf(v float64) int32 { return int32(math.Floor(v / squareSize)) }

// at is the square of a column and a row, made where there is none yet.
func (f *occupancy) at(x, y int32) *square {
	s := f.grid[[2]int32{x, y}]
	if s == nil {
		if len(f.spare) == 0 {
			f.spare = make([]square, spareSquares)
			places := make([]int32, 2*squareRoom*spareSquares)
			for i := range f.spare {
				lines, tiles := 2*squareRoom*i, 2*squareRoom*i+squareRoom
				f.spare[i].lines = places[lines:lines:tiles]
				f.spare[i].tiles = places[tiles : tiles : tiles+squareRoom]
			}
		}
		s, f.spare = &f.spare[0], f.spare[1:]
		f.grid[[2]int32{x, y}] = s
	}
	return s
}

// addLine enters a straight stroke, row of squares by row.
func (f *occupancy) addLine(a, b geom.Point) {
	n := int32(len(f.lines))
	f.lines = append(f.lines, segment{a, b})
	box := geom.BoxOf(a, b)
	for y := squareOf(box.Min.Y); y <= squareOf(box.Max.Y); y++ {
		from, to := rowSpan(a, b, float64(y)*squareSize, float64(y+1)*squareSize)
		for x := squareOf(from); x <= squareOf(to); x++ {
			s := f.at(x, y)
			s.lines = append(s.lines, n)
		}
	}
}

// rowSpan is the range of x in which the segment crosses the band y0…y1.
func rowSpan(a, b geom.Point, y0, y1 float64) (float64, float64) {
	lo, hi := 0.0, 1.0
	if !clipAxis(a.Y-(y0+y1)/2, b.Y-a.Y, (y1-y0)/2, &lo, &hi) {
		lo, hi = 0, 1 // rounding at the band's rim: take it all
	}
	p, q := a.Lerp(b, lo).X, a.Lerp(b, hi).X
	return min(p, q), max(p, q)
}

// flatness in mm keeps a flattened curve within a line's width of the true one.
const flatness = 0.05

// appendStrokes appends a curve on the paper as straight strokes.
func appendStrokes(dst []segment, c geom.Curve) []segment {
	if c.Kind == geom.Line {
		return append(dst, segment{c.P, c.Q})
	}
	prev := c.P
	for _, p := range c.Flatten(nil, flatness) {
		dst = append(dst, segment{prev, p})
		prev = p
	}
	return dst
}

// addCurve enters a curve that is already on the paper.
func (f *occupancy) addCurve(c geom.Curve) {
	var room [32]segment
	for _, s := range appendStrokes(room[:0], c) {
		f.addLine(s.a, s.b)
	}
}

// addTile enters a tile in every square that its bounding box meets.
func (f *occupancy) addTile(t tile) {
	n := int32(len(f.tiles))
	f.tiles = append(f.tiles, t)
	b := t.bounds()
	for y := squareOf(b.Min.Y); y <= squareOf(b.Max.Y); y++ {
		for x := squareOf(b.Min.X); x <= squareOf(b.Max.X); x++ {
			s := f.at(x, y)
			s.tiles = append(s.tiles, n)
		}
	}
}

// clear reports whether t meets neither text nor lines.
func (f *occupancy) clear(t tile) bool { return f.search(t, true) }

// clearOfText reports whether t meets no text, whatever lines it covers.
func (f *occupancy) clearOfText(t tile) bool { return f.search(t, false) }

// search reports whether t meets no tile and, if asked, no line.
func (f *occupancy) search(t tile, lines bool) bool {
	b := t.bounds()
	for y := squareOf(b.Min.Y); y <= squareOf(b.Max.Y); y++ {
		for x := squareOf(b.Min.X); x <= squareOf(b.Max.X); x++ {
			if s := f.grid[[2]int32{x, y}]; s != nil && f.hits(s, t, lines) {
				return false
			}
		}
	}
	return true
}

// hits reports whether anything entered in one square meets t.
func (f *occupancy) hits(s *square, t tile, lines bool) bool {
	for _, i := range s.tiles {
		if t.meets(f.tiles[i]) {
			return true
		}
	}
	if lines {
		for _, i := range s.lines {
			if t.crosses(f.lines[i].a, f.lines[i].b) {
				return true
			}
		}
	}
	return false
}

// lineClearOfText reports whether a stroke from a to b runs over no text.
func (f *occupancy) lineClearOfText(a, b geom.Point) bool {
	d := b.Sub(a)
	if d.Len() < geom.Tiny {
		return true
	}
	return f.clearOfText(tile{a.Lerp(b, 0.5), d.Unit(), d.Len() / 2, narrow})
}
