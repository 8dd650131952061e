package nest

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// pair is the no-fit polygon of two shapes: the places t of the second, moved by
// t, at which its inside meets the first's. It is the union of the insides of the
// Minkowski sums A_i ⊕ (−B_j) over all convex parts; the seams between parts of one
// shape are not left out by that, since common ground is open and a seam is not.
type pair struct {
	sums   [][]vec
	boxes  []bounds // of the sums
	rim    []side   // what of the sums' sides lies inside no sum: where the two touch
	edges  []edge   // the same as what they were cut from
	bounds bounds

	// A raster over the bounds: which sums a place may lie in, and which sides may
	// be nearest to it. Its cells are powers of two, for a shift is quicker than a division.
	cells         []cell
	columns, rows int64
	across, tall  uint // a cell is 1<<across wide and 1<<tall high
}

// side is a stretch of the rim, the sums on its left.
type side struct {
	px, py, dx, dy float64
	inv            float64 // 1/|d|²
}

// cell is one field of the raster.
type cell struct {
	sums []int32 // sums whose inside meets the cell
	full bool    // one of them covers it
	near []int32 // sides one of which is nearest to any point of the cell
}

// noFit computes a pair. The error is the context's.
func noFit(ctx context.Context, a, b *Shape) (*pair, error) {
	p := &pair{bounds: nothing()}
	negated := make([][]vec, len(b.parts))
	for j, part := range b.parts {
		negated[j] = make([]vec, len(part))
		for k, v := range part {
			negated[j][k] = v.neg()
		}
	}
	for _, part := range a.parts {
		for _, n := range negated {
			p.sums = append(p.sums, sum(part, n))
		}
	}
	p.sums = withoutContained(p.sums)
	for _, s := range p.sums {
		p.addBox(boundsOf(s))
	}
	p.cover(ctx)
	p.findRim(ctx)
	p.findNear(ctx)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return p, nil
}

func (p *pair) addBox(b bounds) {
	p.boxes = append(p.boxes, b)
	p.bounds = p.bounds.with(b.lo).with(b.hi)
}

// withoutContained drops sums that lie in another one, of equal ones all but the first.
func withoutContained(sums [][]vec) [][]vec {
	boxes := make([]bounds, len(sums))
	areas := make([]int64, len(sums))
	for i, s := range sums {
		boxes[i], areas[i] = boundsOf(s), area2(s)
	}
	gone := make([]bool, len(sums))
	for i, s := range sums {
		for j, t := range sums {
			if i == j || gone[j] || areas[j] < areas[i] || areas[j] == areas[i] && j > i ||
				!boxes[i].lo.within(boxes[j]) || !boxes[i].hi.within(boxes[j]) {
				continue
			}
			if !slices.ContainsFunc(s, func(v vec) bool { return outsideLoop(t, v) }) {
				gone[i] = true
				break
			}
		}
	}
	out := sums[:0:0]
	for i, s := range sums {
		if !gone[i] {
			out = append(out, s)
		}
	}
	return out
}

// outsideLoop reports whether p lies outside a convex loop, off its rim.
func outsideLoop(loop []vec, p vec) bool {
	prev := loop[len(loop)-1]
	for _, q := range loop {
		if orient(prev, q, p) < 0 {
			return true
		}
		prev = q
	}
	return false
}

// edge is the stretch, in shares from and to of b − a, of a side of a sum that is part of the
// rim. The ends a and b are the side's own, on the grid, so that what is cut from it later, where
// more sums join, is cut exactly too.
type edge struct {
	a, b     vec
	from, to float64
}

// findRim takes from every side of every sum what lies inside another sum. What
// coincides with a side of an earlier sum that faces the same way is there already.
func (p *pair) findRim(ctx context.Context) {
	c := p.newCutter()
	for i, s := range p.sums {
		if ctx.Err() != nil {
			return
		}
		for k, a := range s {
			c.addRim(edge{a, s[(k+1)%len(s)], 0, 1}, i, i+1)
		}
	}
}

// cutter finds what of edges lies inside sums. It asks only the sums of the cells that an edge runs
// through: all of them would be a quadratic number, and of clusters there are thousands.
type cutter struct {
	*pair
	looked int       // edges so far
	asked  []int     // for every sum, the last of these edges that listed it
	listed []int32   // sums, of the present edge
	inside []stretch // of the present edge, what lies in sums
}

// stretch is a part of an edge, in shares of it.
type stretch struct{ from, to float64 }

func (p *pair) newCutter() *cutter { return &cutter{pair: p, asked: make([]int, len(p.sums))} }

// addRim adds to the rim what of an edge lies in none of the sums but those numbered from own
// to next, which it belongs to.
func (c *cutter) addRim(e edge, own, next int) {
	if !c.list(e) {
		return
	}
	c.inside = c.inside[:0]
	box := nothing().with(e.a).with(e.b)
	for _, n := range c.listed {
		j := int(n)
		if j >= own && j < next || box.hi.x < c.boxes[j].lo.x || box.lo.x > c.boxes[j].hi.x || box.hi.y < c.boxes[j].lo.y || box.lo.y > c.boxes[j].hi.y {
			continue
		}
		if from, to, ok := stretchIn(c.sums[j], e.a, e.b.sub(e.a), j < own); ok {
			c.inside = append(c.inside, stretch{from, to})
		}
	}
	slices.SortFunc(c.inside, func(u, v stretch) int { return cmp.Compare(u.from, v.from) })
	at := e.from
	for _, u := range c.inside {
		if u.from >= e.to {
			break
		}
		if u.from > at {
			c.addSide(edge{e.a, e.b, at, u.from})
		}
		at = max(at, u.to)
	}
	if at < e.to {
		c.addSide(edge{e.a, e.b, at, e.to})
	}
}

// cellSlack is how many steps an edge is taken to be away from where it is, when it is asked which cells it
// runs through: rounding, and cells that it only touches.
const cellSlack = 2

// list finds the sums that may hold some of an edge, by the cells that it runs through; false where
// each of these is covered by a sum, so that it lies inside. An edge does not run inside a sum that it is a side of.
func (c *cutter) list(e edge) bool {
	c.looked++
	c.listed = c.listed[:0]
	dx, dy := float64(e.b.x-e.a.x), float64(e.b.y-e.a.y)
	ax, ay := float64(e.a.x-c.bounds.lo.x), float64(e.a.y-c.bounds.lo.y)
	bx, by := ax+float64(dx*e.to), ay+float64(dy*e.to)
	ax, ay = ax+float64(dx*e.from), ay+float64(dy*e.from)
	free := false
	for r := cellOf(min(ay, by)-cellSlack, c.tall, c.rows); r <= cellOf(max(ay, by)+cellSlack, c.tall, c.rows); r++ {
		// What of the edge lies at the height of this row.
		from, to := 0.0, 1.0
		if math.Abs(by-ay) > cellSlack {
			low, high := (float64(r<<c.tall)-cellSlack-ay)/(by-ay), (float64((r+1)<<c.tall)+cellSlack-ay)/(by-ay)
			from, to = max(min(low, high), 0), min(max(low, high), 1)
		}
		x0, x1 := ax+float64((bx-ax)*from), ax+float64((bx-ax)*to)
		for k := cellOf(min(x0, x1)-cellSlack, c.across, c.columns); k <= cellOf(max(x0, x1)+cellSlack, c.across, c.columns); k++ {
			cell := &c.cells[r*c.columns+k]
			free = free || !cell.full
			for _, n := range cell.sums {
				if c.asked[n] != c.looked {
					c.asked[n] = c.looked
					c.listed = append(c.listed, n)
				}
			}
		}
	}
	return free
}

// cellOf is the number of the cell, of so many, that a coordinate above the bounds' lower one lies in, or the nearest.
func cellOf(x float64, shift uint, cells int64) int64 {
	return min(max(int64(x)>>shift, 0), cells-1)
}

// shortestSide is the share of a step below which a side is rounding.
const shortestSide = 0.25

func (p *pair) addSide(e edge) {
	dx, dy := float64(e.b.x-e.a.x), float64(e.b.y-e.a.y)
	s := side{px: float64(e.a.x) + float64(dx*e.from), py: float64(e.a.y) + float64(dy*e.from), dx: dx * (e.to - e.from), dy: dy * (e.to - e.from)}
	long := float64(s.dx*s.dx) + float64(s.dy*s.dy)
	if long < shortestSide*shortestSide && e.from > 0 && e.to < 1 {
		return
	}
	if long > 0 {
		s.inv = 1 / long
	}
	p.rim, p.edges = append(p.rim, s), append(p.edges, e)
}

// stretchIn is the stretch, in shares of d, of the segment from a along d that
// lies strictly inside a convex loop (Cyrus and Beck 1978). With same, what lies
// on a side that runs along d counts too.
func stretchIn(loop []vec, a, d vec, same bool) (from, to float64, ok bool) {
	from, to = 0, 1
	prev := loop[len(loop)-1]
	for _, q := range loop {
		e := q.sub(prev)
		num, den := e.cross(a.sub(prev)), e.cross(d)
		prev = q
		switch {
		case den == 0:
			if num < 0 || num == 0 && !(same && e.dot(d) > 0) {
				return 0, 0, false
			}
		case den > 0:
			from = max(from, -float64(num)/float64(den))
		default:
			to = min(to, -float64(num)/float64(den))
		}
		if from >= to {
			return 0, 0, false
		}
	}
	return from, to, true
}

// How many cells the raster has at the most, in all and in a row; up to four times as
// many in all, and twice in a row, since their sizes are powers of two.
const (
	mostCells = 2048
	mostInRow = 128
)

// leastCells is how many cells the raster has at the least; otherwise as many as the sums have sides.
const leastCells = 64

// cover lays the raster over the bounds and lists the sums of every cell.
func (p *pair) cover(ctx context.Context) {
	size := p.bounds.hi.sub(p.bounds.lo)
	w, h := max(float64(size.x), 1), max(float64(size.y), 1)
	sides := 0
	for _, s := range p.sums {
		sides += len(s)
	}
	count := min(max(float64(sides), leastCells), mostCells)
	p.across = shiftFor(w / min(max(math.Sqrt(count*w/h), 2), mostInRow))
	p.tall = shiftFor(h / min(max(math.Sqrt(count*h/w), 2), mostInRow))
	p.columns, p.rows = size.x>>p.across+1, size.y>>p.tall+1
	p.cells = make([]cell, p.columns*p.rows)
	for i := range p.cells {
		if ctx.Err() != nil {
			return
		}
		p.coverCell(&p.cells[i], p.cellBox(int64(i)))
	}
}

// cellBox is the box of cell i.
func (p *pair) cellBox(i int64) bounds {
	lo := p.bounds.lo.add(vec{i % p.columns << p.across, i / p.columns << p.tall})
	return bounds{lo, lo.add(vec{1 << p.across, 1 << p.tall})}
}

// findNear lists the sides that may be nearest to a point of each cell that meets a sum. With m the cell's middle and r
// half its diagonal, the side nearest to m is within d(m) + r of any point of the cell, and one further than
// d(m) + 2r from m is further than that: those up to there are listed, and a step for rounding.
func (p *pair) findNear(ctx context.Context) {
	dist := make([]float64, len(p.rim))
	diagonal := vec{1 << p.across, 1 << p.tall}.length()
	for i := range p.cells {
		k := &p.cells[i]
		if len(k.sums) == 0 {
			continue
		}
		if ctx.Err() != nil {
			return
		}
		box := p.cellBox(int64(i))
		mx, my := float64(box.lo.x)/2+float64(box.hi.x)/2, float64(box.lo.y)/2+float64(box.hi.y)/2
		least := math.Inf(1)
		for i := range p.rim {
			dist[i] = p.rim[i].distance2(mx, my)
			least = min(least, dist[i])
		}
		reach := math.Sqrt(least) + diagonal + 1
		for i, d := range dist {
			if d <= reach*reach {
				k.near = append(k.near, int32(i))
			}
		}
	}
}

// shiftFor is the largest power of two that is no more than a size.
func shiftFor(size float64) uint { return uint(max(math.Ilogb(max(size, 1)), 0)) }

// coverCell lists the sums whose inside may meet a cell.
func (p *pair) coverCell(k *cell, box bounds) {
	corners := [...]vec{box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}}
	for i, s := range p.sums {
		if !box.overlaps(p.boxes[i]) {
			continue
		}
		in, apart := true, false
		prev := s[len(s)-1]
		for _, q := range s {
			behind := 0
			for _, v := range corners {
				if orient(prev, q, v) > 0 {
					behind++
				}
			}
			in = in && behind == len(corners)
			apart = apart || behind == 0
			prev = q
		}
		if in {
			k.sums, k.full = append(k.sums[:0], int32(i)), true
			return
		}
		if !apart {
			k.sums = append(k.sums, int32(i))
		}
	}
}

// distance2 is the squared distance of a point from the side.
func (s *side) distance2(x, y float64) float64 {
	ux, uy := x-s.px, y-s.py
	t := min(max((float64(ux*s.dx)+float64(uy*s.dy))*s.inv, 0), 1)
	ux -= float64(t * s.dx)
	uy -= float64(t * s.dy)
	return float64(ux*ux) + float64(uy*uy)
}

// out is the line through the point of the side nearest to one behind it, as its
// unit normal n away from that and n·q of its points q: square to the way there, which at an
// end of the side need not be square to the side.
func (s *side) out(x, y float64) (nx, ny, c float64) {
	t := (float64((x-s.px)*s.dx) + float64((y-s.py)*s.dy)) * s.inv
	if t > 0 && t < 1 {
		n := math.Sqrt(s.inv)
		nx, ny = s.dy*n, -s.dx*n // the sums are on the left
		return nx, ny, float64(nx*s.px) + float64(ny*s.py)
	}
	qx, qy := s.px, s.py
	if t >= 1 {
		qx, qy = s.px+s.dx, s.py+s.dy
	}
	nx, ny = qx-x, qy-y
	if long := math.Sqrt(float64(nx*nx) + float64(ny*ny)); long > 0 {
		nx, ny = nx/long, ny/long
	}
	return nx, ny, float64(nx*qx) + float64(ny*qy)
}

// at is the cell that a place lies in, nil outside the bounds.
func (p *pair) at(t vec) *cell {
	if t.x <= p.bounds.lo.x || t.y <= p.bounds.lo.y || t.x >= p.bounds.hi.x || t.y >= p.bounds.hi.y {
		return nil
	}
	return &p.cells[((t.y-p.bounds.lo.y)>>p.tall)*p.columns+(t.x-p.bounds.lo.x)>>p.across]
}

// holds reports whether the shapes overlap with the second one at t. Exact.
func (p *pair) holds(t vec) bool {
	k := p.at(t)
	return k != nil && (k.full || p.inAny(k, t))
}

func (p *pair) inAny(k *cell, t vec) bool {
	for _, i := range k.sums {
		if insideLoop(p.sums[i], t) {
			return true
		}
	}
	return false
}

// depth is how far, in steps, the second shape at t has to move to be clear of the
// first; 0 if and only if it is.
func (p *pair) depth(t vec) float64 {
	k := p.at(t)
	if k == nil || !k.full && !p.inAny(k, t) {
		return 0
	}
	d, _ := p.nearest(k, t)
	return d
}

// nearest is the distance to the nearest side and its number. Never under one
// step, which rounding could make nothing.
func (p *pair) nearest(k *cell, t vec) (float64, int32) {
	x, y := float64(t.x), float64(t.y)
	best, which := math.Inf(1), int32(-1)
	for _, i := range k.near {
		if d := p.rim[i].distance2(x, y); d < best {
			best, which = d, i
		}
	}
	return max(math.Sqrt(best), 1), which
}

// turned is the shape turned by quarters about the origin.
func (s *Shape) turned(quarters int) *Shape {
	if quarters&3 == 0 {
		return s
	}
	t := &Shape{bounds: s.bounds.turned(quarters), box: s.box.turned(quarters), area: s.area}
	for _, p := range s.parts {
		q := make([]vec, len(p))
		for i, v := range p {
			q[i] = v.turned(quarters)
		}
		t.parts = append(t.parts, q)
	}
	t.hull = hull(slices.Concat(t.parts...))
	return t
}
