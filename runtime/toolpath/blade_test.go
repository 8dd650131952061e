package toolpath

import (
	"fmt"
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/geom"
)

// blade is a trailing blade that is dragged over the board. Its heading θ follows the way of
// its axis by dθ/ds = sin(φ − θ)/d, φ the direction of the way, s its length (the equation of the
// tractrix; akmemorph.us/?p=662, with another sign). The tip lies d behind the axis.
type blade struct {
	d     float64
	theta float64
	at    geom.Point   // axis
	tip   []geom.Point // where the tip has been since it was last lowered
}

// down lowers the blade at a place with the heading that it has.
func (b *blade) down(at geom.Point) {
	b.at, b.tip = at, []geom.Point{b.edge(at)}
}

func (b *blade) edge(at geom.Point) geom.Point {
	return at.Sub(geom.Pt(math.Cos(b.theta), math.Sin(b.theta)).Mul(b.d))
}

// drag moves the axis along a curve, in steps so short that each may count as straight. On a
// straight step the equation has the solution tan(e/2) = tan(e₀/2)·exp(−s/d) for the
// angle e between the blade and the way, so that on lines steps need only be short while the tip
// comes in from the side. It returns the least and largest e met.
func (b *blade) drag(c geom.Curve, step float64) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	if c.Kind == geom.Line {
		if e := math.Remainder(b.theta-c.Tangent(0).Angle().Radians(), 2*math.Pi); math.Abs(e) < 1e-3 {
			step = 0.2
		}
	}
	n := math.Ceil(c.Length()/step) + 1
	for i := 1.0; i <= n; i++ {
		to := c.At(i / n)
		way := to.Sub(b.at)
		s := math.Hypot(way.X, way.Y)
		if s == 0 {
			continue
		}
		phi := math.Atan2(way.Y, way.X)
		e := math.Remainder(b.theta-phi, 2*math.Pi)
		after := 2 * math.Atan(math.Tan(e/2)*math.Exp(-s/b.d))
		least, most = min(least, e, after), max(most, e, after)
		b.theta, b.at = phi+after, to
		b.tip = append(b.tip, b.edge(to))
	}
	return least, most
}

// run lowers the blade at the start of a stroke and drags it along.
func (b *blade) run(moves []Move) {
	b.down(moves[0].P)
	for _, m := range moves {
		b.drag(m.Curve, b.d/60)
	}
}

// points flattens curves end to end.
func points(curves []geom.Curve) []geom.Point {
	pts := []geom.Point{curves[0].P}
	for _, c := range curves {
		pts = c.Flatten(pts, 1e-4)
	}
	return pts
}

// offBy is the largest distance of a point of either chain from the other chain, taken at the
// points of the chains and of what is between them every 0.2 mm: the Hausdorff distance, but for
// what lies between samples. It stops at 1 mm.
func offBy(a, b []geom.Point) float64 {
	return max(newNear(a).furthest(b), newNear(b).furthest(a))
}

// near finds how far points are from chains of points.
type near struct {
	segments []geom.Curve
	tree     *geom.BoxTree
	found    []int
}

func newNear(chains ...[]geom.Point) *near {
	n := &near{}
	var boxes []geom.Box
	for _, c := range chains {
		for i := range max(1, len(c)-1) {
			s := geom.LineFrom(c[i], c[min(i+1, len(c)-1)])
			n.segments, boxes = append(n.segments, s), append(boxes, s.Bounds())
		}
	}
	n.tree = geom.NewBoxTree(boxes)
	return n
}

// away is the distance of a point, 1 mm at the most.
func (n *near) away(p geom.Point) float64 {
	least := 1.0
	for _, reach := range [...]float64{0.005, 0.1, 1} {
		n.found = n.tree.Intersecting(geom.BoxOf(p).Grow(reach), n.found[:0])
		for _, k := range n.found {
			_, d := n.segments[k].Nearest(p)
			least = min(least, d)
		}
		if least <= reach {
			break
		}
	}
	return least
}

// furthest is the largest distance of the points of a chain.
func (n *near) furthest(chain []geom.Point) float64 {
	worst := 0.0
	for _, p := range dense(chain) {
		worst = max(worst, n.away(p))
	}
	return worst
}

// dense adds points between those of a chain, no more than 0.2 mm apart.
func dense(chain []geom.Point) []geom.Point {
	out := []geom.Point{chain[0]}
	for i := 1; i < len(chain); i++ {
		n := math.Ceil(chain[i].Dist(chain[i-1]) / 0.2)
		for k := 1.0; k < n; k++ {
			out = append(out, chain[i-1].Lerp(chain[i], k/n))
		}
		out = append(out, chain[i])
	}
	return out
}

// randomChain is curves end to end: lines, arcs of all radii and sweeps up to a full turn, cubics
// with inflections, loops and cusps; joints are smooth, corners of any angle, or spikes.
func randomChain(rnd *rand.Rand) []geom.Curve {
	var out []geom.Curve
	at, dir := geom.Pt(0, 0), geom.Radians(rnd.Float64()*7)
	for range 1 + rnd.Intn(8) {
		switch rnd.Intn(8) {
		case 0, 1, 2: // smooth
		case 3:
			dir = dir.Add(geom.Radians(math.Pi))
		case 4:
			dir = dir.Add(geom.Radians(0.3 * rnd.NormFloat64()))
		case 5:
			dir = dir.Add(geom.Radians(1e-4 * rnd.NormFloat64()))
		default:
			dir = dir.Add(geom.Radians(rnd.Float64()*7 - 3.5))
		}
		u := geom.Polar(1, dir)
		size := math.Exp(rnd.Float64()*6 - 3) // 0.05 to 20 mm
		var c geom.Curve
		switch rnd.Intn(4) {
		case 0:
			c = geom.LineFrom(at, at.Add(u.Mul(size)))
		case 1:
			side, sweep := 1.0, min(1, rnd.Float64()*1.1)*2*math.Pi
			if rnd.Intn(2) == 0 {
				side = -1
			}
			c = geom.ArcFrom(at, at.Add(u.Left().Mul(side*size)), geom.Radians(side*max(0.01, sweep)))
		case 2:
			q := at.Add(geom.Pt(rnd.NormFloat64(), rnd.NormFloat64()).Mul(size))
			c = geom.CubicFrom(at, at.Add(u.Mul(size*rnd.Float64())), q.Add(geom.Pt(rnd.NormFloat64(), rnd.NormFloat64()).Mul(size)), q)
		default: // gentle
			v := geom.Polar(1, dir.Add(geom.Radians(rnd.NormFloat64())))
			q := at.Add(u.Add(v).Mul(size))
			c = geom.CubicFrom(at, at.Add(u.Mul(size*0.7)), q.Sub(v.Mul(size*0.7)), q)
		}
		out = append(out, c)
		at, dir = c.Q, c.Tangent(1).Angle()
	}
	return out
}

// randomOutline is a simple closed chain, counter-clockwise, of 3 to 10 lines, arcs and cubics about
// the origin, 20 to 60 mm across.
func randomOutline(rnd *rand.Rand) []geom.Curve {
	for {
		n := 3 + rnd.Intn(8)
		var pts []geom.Point
		turn, size := rnd.Float64(), 1+2*rnd.Float64()
		for i := range n {
			a := (float64(i) + turn + 0.6*rnd.Float64()) * 2 * math.Pi / float64(n)
			pts = append(pts, geom.Polar(size*(4+8*rnd.Float64()), geom.Radians(a)))
		}
		p := geom.Path{Closed: true}
		for i, a := range pts {
			p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprint("e", i), Curve: randomSide(rnd, a, pts[(i+1)%n])})
		}
		if q, err := p.Check(); err == nil && q.Area() > 20 {
			return q.Curves()
		}
	}
}

func randomSide(rnd *rand.Rand, p, q geom.Point) geom.Curve {
	switch rnd.Intn(4) {
	case 0:
		if c, err := geom.ArcSweep(p, q, geom.Radians(rnd.Float64()*3-1)); err == nil {
			return c
		}
	case 1:
		out := q.Sub(p).Left()
		return geom.CubicFrom(p, p.Lerp(q, 0.3).Add(out.Mul(0.6*rnd.Float64()-0.4)), p.Lerp(q, 0.7).Add(out.Mul(0.6*rnd.Float64()-0.4)), q)
	}
	return geom.LineFrom(p, q)
}
