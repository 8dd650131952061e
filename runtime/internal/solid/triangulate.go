package solid

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// flatness is how far in mm chords stay from the curves that they stand for: less than an eye
// sees in a rendering of a whole piece, and a fifth of the width of a fine cut.
const flatness = 0.01

// grid is the distance in mm, about a millionth, of the points that chords may end in. Points of arcs
// may differ between processors in their last digit, and which of two ears with sides of the same length is
// clipped first should not.
const grid = 1.0 / (1 << 20)

// onGrid is the nearest point of the grid.
func onGrid(p geom.Point) geom.Point {
	return geom.Pt(math.Round(p.X/grid)*grid+0, math.Round(p.Y/grid)*grid+0)
}

// facets is a part of the plane cut into triangles. Loops and triangles are of numbers
// of points; loops have the part on their left, triangles run counter-clockwise. No point
// occurs twice, and every side of a triangle is that of one other triangle, the other way
// round, or of a loop.
type facets struct {
	points    []geom.Point
	loops     [][]int
	triangles [][3]int
}

// triangulate cuts the board within rings into triangles, of which every corner is a
// point of a chord. Rings may touch in their ends, which are then the same to the bit.
// The error is the cause of the context's end.
func triangulate(ctx context.Context, rings []blank.Ring) (*facets, error) {
	f := &facets{}
	f.flatten(rings)
	f.separate()
	outers, holes := f.nest()
	for i, outer := range outers {
		loop := f.bridge(ctx, outer, holes[i])
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		c := newClipper(f.points, loop)
		if err := c.run(ctx); err != nil {
			return nil, err
		}
		f.triangles = append(f.triangles, c.triangles...)
	}
	return f, nil
}

// flatten makes loops of rings, each place one point however often it is passed.
func (f *facets) flatten(rings []blank.Ring) {
	number := map[geom.Point]int{}
	var chain []geom.Point
	for _, ring := range rings {
		chain = chain[:0]
		for _, c := range ring {
			chain = c.Flatten(chain, flatness)
		}
		var loop []int
		for _, p := range chain {
			p = onGrid(p)
			i, ok := number[p]
			if !ok {
				i = len(f.points)
				number[p] = i
				f.points = append(f.points, p)
			}
			loop = append(loop, i)
		}
		loop = slices.Compact(loop)
		if n := len(loop); n > 1 && loop[0] == loop[n-1] {
			loop = loop[:n-1]
		}
		if len(loop) > 2 {
			f.loops = append(f.loops, loop)
		}
	}
}

// side is one side of a loop.
type side struct{ from, to int }

// separate traces loops anew so that each bounds one connected part of the inside: where
// several pass a point, the one that arrives goes on along the first side that leaves,
// turning clockwise from the way it came. The sides between which that turn runs have the
// inside on their left, one before it and one behind it, so the wedge between them is inside. A
// hole that touches what is round it becomes part of that loop, and parts that hang
// together in a point alone become loops of their own.
func (f *facets) separate() {
	leaving := make([][]int, len(f.points)) // numbers of sides
	var sides []side
	touching := false
	for _, loop := range f.loops {
		for k, from := range loop {
			touching = touching || len(leaving[from]) > 0
			leaving[from] = append(leaving[from], len(sides))
			sides = append(sides, side{from, loop[(k+1)%len(loop)]})
		}
	}
	if !touching {
		return
	}
	next := make([]int, len(sides))
	for k, s := range sides {
		best := 0
		for i := 1; i < len(leaving[s.to]); i++ {
			if f.earlier(s, sides[leaving[s.to][i]].to, sides[leaving[s.to][best]].to) {
				best = i
			}
		}
		next[k] = leaving[s.to][best]
		leaving[s.to] = slices.Delete(leaving[s.to], best, best+1)
	}
	f.loops = nil
	done := make([]bool, len(sides))
	for k := range sides {
		var loop []int
		for i := k; !done[i]; i = next[i] {
			done[i] = true
			loop = append(loop, sides[i].from)
		}
		if len(loop) > 2 {
			f.loops = append(f.loops, loop)
		}
	}
}

// earlier reports whether, turning clockwise at the end of a side from the way back along it, a
// is passed before b: first what lies right of the way back, then what lies straight on or left
// of it, and within either half the one that has the other on its right.
func (f *facets) earlier(s side, a, b int) bool {
	at, back := f.points[s.to], f.points[s.from]
	half := func(i int) int {
		q := f.points[i]
		switch turn := geom.Orient(at, back, q); {
		case turn < 0:
			return 0
		case turn == 0 && q.Sub(at).Dot(back.Sub(at)) > 0: // the way back itself comes last
			return 2
		}
		return 1
	}
	if ha, hb := half(a), half(b); ha != hb {
		return ha < hb
	}
	return geom.Orient(at, f.points[a], f.points[b]) < 0
}

// places are the places of a loop's points.
func (f *facets) places(loop []int) []geom.Point {
	out := make([]geom.Point, len(loop))
	for k, i := range loop {
		out[k] = f.points[i]
	}
	return out
}

// nest gives the outer loops and, for each, the holes right within it: those of which it
// is the smallest loop round them. Loops that go round nothing are left out.
func (f *facets) nest() (outers [][]int, holes [][][]int) {
	type outer struct {
		loop   []int
		places []geom.Point
		area   float64
	}
	var round []outer
	var within [][]int
	for _, loop := range f.loops {
		places := f.places(loop)
		if area := polygon.Area(places); area > 0 {
			round = append(round, outer{loop, places, area})
		} else {
			within = append(within, loop)
		}
	}
	slices.SortStableFunc(round, func(a, b outer) int { return cmp.Compare(a.area, b.area) })
	for _, o := range round {
		outers = append(outers, o.loop)
	}
	holes = make([][][]int, len(outers))
	for _, hole := range within {
		i := slices.IndexFunc(round, func(o outer) bool {
			return polygon.Holds([][]geom.Point{o.places}, f.points[hole[0]])
		})
		if i >= 0 {
			holes[i] = append(holes[i], hole)
		}
	}
	return outers, holes
}

// bridge joins holes to the loop round them by segments that are passed once in each
// direction. The holes come in the order of their rightmost points, the rightmost first:
// nothing of those left lies further right, so that some corner of the loop is in
// sight of that point (the nearest side right of it has an end that is, or hides it
// behind a corner that is: Eberly, Triangulation by Ear Clipping, 2002, value from memory).
// Of the corners in sight the nearest is taken. Once the context has ended there is no loop.
func (f *facets) bridge(ctx context.Context, loop []int, holes [][]int) []int {
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
	loop = slices.Clone(loop)
	for h, hole := range starts {
		if ctx.Err() != nil {
			return nil
		}
		k := f.inSight(loop, hole[0], append([][]int{loop}, starts[h:]...))
		loop = slices.Insert(loop, k+1, append(append(hole, hole[0]), loop[k])...)
	}
	return loop
}

// inSight is the place in the loop of the nearest corner that point m sees past the
// sides of all loops; the nearest at all where chords that cross hide every one. Few are
// hidden, so the next nearest is looked for anew each time.
func (f *facets) inSight(loop []int, m int, all [][]int) int {
	far := make([]float64, len(loop))
	for k, i := range loop {
		d := f.points[i].Sub(f.points[m])
		far[k] = d.Dot(d)
	}
	nearest := func() (best int) {
		for k := range far {
			if far[k] < far[best] {
				best = k
			}
		}
		return best
	}
	first := nearest()
	for k := first; !math.IsInf(far[k], 1); k = nearest() {
		if f.inWedge(loop, k, m) && f.clear(m, loop[k], all) {
			return k
		}
		far[k] = math.Inf(1)
	}
	return first
}

// inWedge reports whether the way from corner k of a loop to point q sets out inside it.
func (f *facets) inWedge(loop []int, k, q int) bool {
	n := len(loop)
	a, v, b := f.points[loop[(k+n-1)%n]], f.points[loop[k]], f.points[loop[(k+1)%n]]
	left, right := geom.Orient(a, v, f.points[q]) > 0, geom.Orient(v, b, f.points[q]) > 0
	if geom.Orient(a, v, b) > 0 {
		return left && right
	}
	return left || right
}

// clear reports whether the segment between two points meets no side of the loops but
// those that end in one of the two.
func (f *facets) clear(i, j int, loops [][]int) bool {
	p, q := f.points[i], f.points[j]
	box := geom.BoxOf(p, q)
	for _, loop := range loops {
		for k, a := range loop {
			b := loop[(k+1)%len(loop)]
			if a == i || a == j || b == i || b == j {
				continue
			}
			c, d := f.points[a], f.points[b]
			if !box.Intersects(geom.BoxOf(c, d)) {
				continue
			}
			if geom.Orient(p, q, c)*geom.Orient(p, q, d) <= 0 && geom.Orient(c, d, p)*geom.Orient(c, d, q) <= 0 {
				return false
			}
		}
	}
	return true
}
