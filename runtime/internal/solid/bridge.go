package solid

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// bridge joins holes to the loop round them by segments that are passed once in each
// direction. The holes come in the order of their rightmost points, the rightmost first:
// nothing of those left lies further right, so that some corner of the loop is in
// sight of that point (the nearest side right of it has an end that is, or hides it
// behind a corner that is: Eberly, Triangulation by Ear Clipping, 2002, value from memory).
// Of the corners in sight the nearest is taken. Once the context has ended there is no loop.
func (f *facets) bridge(ctx context.Context, loop []int, holes [][]int) []int {
	if len(holes) == 0 {
		return loop
	}
	starts := make([][]int, len(holes)) // each hole from its rightmost point on
	for h, hole := range holes {
		best := 0
		for k, i := range hole {
			p, q := f.points[i], f.points[hole[best]]
			if p.X > q.X || p.X == q.X && p.Y > q.Y {
				best = k
			}
		}
		starts[h] = append(slices.Clone(hole[best:]), hole[:best]...)
	}
	slices.SortStableFunc(starts, func(a, b []int) int {
		p, q := f.points[a[0]], f.points[b[0]]
		return cmp.Or(cmp.Compare(q.X, p.X), cmp.Compare(q.Y, p.Y))
	})
	b := newBridger(f, loop, starts)
	for _, hole := range starts {
		if ctx.Err() != nil {
			return nil
		}
		b.join(hole, b.inSight(hole[0]))
	}
	return b.loop()
}

// bridger is the loop as far as holes have been joined to it, as a list of corners, and what stands in
// the way of bridges. Both are found in squares, so that a hole costs what lies near it,
// however many there are.
type bridger struct {
	points     []geom.Point
	at         []int    // by corner: its point; corner 0 stays the first of the loop
	prev, next []int    // by corner
	corners    squares  // of the loop
	sides      squares  // of the loop, of the holes and of the bridges so far
	ends       [][2]int // by side: points
}

func newBridger(f *facets, loop []int, holes [][]int) *bridger {
	box, count := geom.EmptyBox(), 0
	for _, l := range append([][]int{loop}, holes...) {
		count += len(l)
		for _, i := range l {
			box = box.Add(f.points[i])
		}
	}
	b := &bridger{points: f.points, corners: newSquares(box, count), sides: newSquares(box, count)}
	for k, i := range loop {
		b.add(i, (k+len(loop)-1)%len(loop), (k+1)%len(loop))
	}
	for _, l := range append([][]int{loop}, holes...) {
		for k, i := range l {
			b.wall(i, l[(k+1)%len(l)])
		}
	}
	return b
}

// add puts a corner into the lists and gives its number.
func (b *bridger) add(point, prev, next int) int {
	b.at, b.prev, b.next = append(b.at, point), append(b.prev, prev), append(b.next, next)
	k := len(b.at) - 1
	b.corners.putPoint(b.points[point], k)
	return k
}

// wall puts a segment in the way.
func (b *bridger) wall(i, j int) {
	b.ends = append(b.ends, [2]int{i, j})
	b.sides.put(b.points[i], b.points[j], len(b.ends)-1)
}

// join leads the loop from corner k round a hole and back.
func (b *bridger) join(hole []int, k int) {
	after, last := b.next[k], k
	for _, point := range append(slices.Clone(hole), hole[0], b.at[k]) {
		c := b.add(point, last, after)
		b.next[last], last = c, c
	}
	b.prev[after] = last
	b.wall(b.at[k], hole[0])
}

// loop is the points of the list.
func (b *bridger) loop() []int {
	out := []int{b.at[0]}
	for k := b.next[0]; k != 0; k = b.next[k] {
		out = append(out, b.at[k])
	}
	return out
}

// inSight is the corner of the loop that is nearest to a point and that it sees past all
// sides; the nearest at all where chords that cross hide every one. It goes from
// square to square outward: when r rings of squares have been looked at, every corner has been
// met that is no further than r squares are wide.
func (b *bridger) inSight(m int) int {
	type met struct {
		corner int
		far    float64 // the square of its distance
	}
	p, first := b.points[m], -1
	var waiting []met
	for r := 0; ; r++ {
		more := b.corners.ring(p, r, func(k int) {
			d := b.points[b.at[k]].Sub(p)
			waiting = append(waiting, met{k, d.Dot(d)})
		})
		slices.SortFunc(waiting, func(u, v met) int { return cmp.Or(cmp.Compare(u.far, v.far), cmp.Compare(u.corner, v.corner)) })
		known := float64(r) * b.corners.size
		for len(waiting) > 0 && (!more || waiting[0].far < known*known) {
			k := waiting[0].corner
			if waiting = waiting[1:]; first < 0 {
				first = k
			}
			if b.inWedge(k, m) && b.clear(m, b.at[k]) {
				return k
			}
		}
		if !more {
			return first
		}
	}
}

// inWedge reports whether the way from a corner to a point sets out inside the loop.
func (b *bridger) inWedge(k, point int) bool {
	p, v, n, q := b.points[b.at[b.prev[k]]], b.points[b.at[k]], b.points[b.at[b.next[k]]], b.points[point]
	left, right := geom.Orient(p, v, q) > 0, geom.Orient(v, n, q) > 0
	if geom.Orient(p, v, n) > 0 {
		return left && right
	}
	return left || right
}

// clear reports whether the segment between two points meets no side but
// those that end in one of the two.
func (b *bridger) clear(i, j int) bool {
	p, q := b.points[i], b.points[j]
	box := geom.BoxOf(p, q)
	return b.sides.along(p, q, func(s int) bool {
		u, v := b.ends[s][0], b.ends[s][1]
		if u == i || u == j || v == i || v == j {
			return true
		}
		c, d := b.points[u], b.points[v]
		return !box.Intersects(geom.BoxOf(c, d)) ||
			geom.Orient(p, q, c)*geom.Orient(p, q, d) > 0 || geom.Orient(c, d, p)*geom.Orient(c, d, q) > 0
	})
}

// squares is a grid over a box: what lies where, by number.
type squares struct {
	from   geom.Point
	size   float64 // of a square, mm
	nx, ny int
	cells  [][]int
}

// slack is the share of a square by which segments count as wider than they are, so that two that
// meet have a square in common whatever rounding does.
const slack = 1e-6

// newSquares are about as many as things are to be put into them.
func newSquares(box geom.Box, count int) squares {
	w, h := box.Width(), box.Height()
	s := squares{from: box.Min, size: max(max(w, h, geom.Tiny)/math.Ceil(math.Sqrt(float64(count))), geom.Tiny)}
	s.nx, s.ny = int(w/s.size)+1, int(h/s.size)+1
	s.cells = make([][]int, s.nx*s.ny)
	return s
}

// of is the column or row of a coordinate within n of them.
func (s *squares) of(v, from float64, n int) int {
	return int(min(max(math.Floor((v-from)/s.size), 0), float64(n-1)))
}

func (s *squares) putPoint(p geom.Point, i int) {
	c := s.of(p.Y, s.from.Y, s.ny)*s.nx + s.of(p.X, s.from.X, s.nx)
	s.cells[c] = append(s.cells[c], i)
}

// each visits the squares that a segment passes, row by row, until visit is false.
func (s *squares) each(p, q geom.Point, visit func(cell int) bool) bool {
	if p.Y > q.Y {
		p, q = q, p
	}
	wide := slack * s.size
	for y := s.of(p.Y-wide, s.from.Y, s.ny); y <= s.of(q.Y+wide, s.from.Y, s.ny); y++ {
		u, v := p, q // its part within the row
		if d := q.Y - p.Y; d > wide {
			low := s.from.Y + float64(y)*s.size - wide
			high := low + s.size + 2*wide
			u, v = p.Lerp(q, min(max((low-p.Y)/d, 0), 1)), p.Lerp(q, min(max((high-p.Y)/d, 0), 1))
		}
		for x := s.of(min(u.X, v.X)-wide, s.from.X, s.nx); x <= s.of(max(u.X, v.X)+wide, s.from.X, s.nx); x++ {
			if !visit(y*s.nx + x) {
				return false
			}
		}
	}
	return true
}

// put puts a segment into the squares that it passes.
func (s *squares) put(p, q geom.Point, i int) {
	s.each(p, q, func(c int) bool {
		s.cells[c] = append(s.cells[c], i)
		return true
	})
}

// along reports whether holds is true of all that is in the squares that a segment passes.
func (s *squares) along(p, q geom.Point, holds func(int) bool) bool {
	return s.each(p, q, func(c int) bool {
		for _, i := range s.cells[c] {
			if !holds(i) {
				return false
			}
		}
		return true
	})
}

// ring meets what lies in the squares r away from that of a point, in columns or in rows. It is false
// when no further ring has any.
func (s *squares) ring(p geom.Point, r int, meet func(int)) (more bool) {
	cx, cy := s.of(p.X, s.from.X, s.nx), s.of(p.Y, s.from.Y, s.ny)
	for y := max(cy-r, 0); y <= min(cy+r, s.ny-1); y++ {
		step := 1
		if y != cy-r && y != cy+r {
			step = max(2*r, 1)
		}
		for x := cx - r; x <= cx+r; x += step {
			if x < 0 || x >= s.nx {
				continue
			}
			for _, i := range s.cells[y*s.nx+x] {
				meet(i)
			}
		}
	}
	return cx-r > 0 || cy-r > 0 || cx+r < s.nx-1 || cy+r < s.ny-1
}
