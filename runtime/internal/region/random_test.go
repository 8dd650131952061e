package region

import (
	"fmt"
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/geom"
)

// randomOutline is a simple outline of 3 to 10 lines, arcs and cubics round
// (x, y), about 20 mm across, sharp and smooth corners mixed.
func randomOutline(rnd *rand.Rand, x, y float64) geom.Path {
	for {
		n := 3 + rnd.Intn(8)
		var pts []geom.Point
		turn := rnd.Float64()
		for i := range n {
			a := (float64(i) + turn + 0.6*rnd.Float64()) * 2 * math.Pi / float64(n)
			pts = append(pts, geom.Pt(x, y).Add(geom.Polar(4+8*rnd.Float64(), geom.Radians(a))))
		}
		p := geom.Path{Closed: true}
		for i, a := range pts {
			c := randomEdge(rnd, a, pts[(i+1)%n])
			p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprintf("e%d", i), Curve: c})
		}
		if q, err := p.Check(); err == nil && q.Area() > 20 {
			return q
		}
	}
}

func randomEdge(rnd *rand.Rand, p, q geom.Point) geom.Curve {
	switch rnd.Intn(4) {
	case 0:
		if c, err := geom.ArcSweep(p, q, geom.Radians(rnd.Float64()*3-1)); err == nil {
			return c
		}
	case 1:
		off := func() geom.Point {
			return q.Sub(p).Left().Mul(0.6 * (rnd.Float64() - 0.7))
		}
		return geom.CubicFrom(p, p.Lerp(q, 0.3).Add(off()), p.Lerp(q, 0.7).Add(off()), q)
	}
	return geom.LineFrom(p, q)
}

// beside is a copy of an outline laid so that an edge of it lies on the same
// edge of the first: the two share that edge, on opposite sides if the edge is
// a line.
func beside(p geom.Path, edge int) geom.Path {
	e := p.Edges[edge].Curve
	return p.Transform(geom.Align(e.P, e.Q.Sub(e.P), e.Q, e.P.Sub(e.Q)))
}

// randomPair is two outlines that cross, share an edge or part of one, or are
// copies of each other.
func randomPair(rnd *rand.Rand) (a, b geom.Path) {
	a = randomOutline(rnd, 0, 0)
	switch rnd.Intn(6) {
	case 0:
		return a, beside(a, rnd.Intn(len(a.Edges)))
	case 1:
		return a, a
	case 2: // slid along an edge
		e := a.Edges[rnd.Intn(len(a.Edges))].Curve
		by := e.Q.Sub(e.P).Mul(rnd.Float64() - 0.5)
		return a, a.Transform(geom.Translation(by.X, by.Y))
	case 3: // turned about a corner
		return a, a.Transform(geom.Rotation(geom.Radians(rnd.Float64()*6), a.Edges[0].P))
	}
	return a, randomOutline(rnd, rnd.Float64()*16-8, rnd.Float64()*16-8)
}

func ringsOf(p geom.Path) [][]geom.Curve { return [][]geom.Curve{p.Curves()} }

func ringsArea(rings [][]geom.Curve) float64 {
	sum := 0.0
	for _, r := range rings {
		sum += area(r)
	}
	return sum
}
