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
