package nest

import (
	"math"
	"math/rand/v2"
	"strconv"

	"github.com/creasewright/creasewright/runtime/geom"
)

// randomRings is a random blank of some 20 to 120 mm: a star of corners with some
// sides bulging in or out as arcs or cubics, and now and then a hole.
func randomRings(rng *rand.Rand) [][]geom.Curve {
	n := 3 + rng.IntN(8)
	size := 10 + 50*rng.Float64()
	corners := make([]geom.Point, n)
	for i := range corners {
		sin, cos := geom.Radians(2 * math.Pi * (float64(i) + 0.7*rng.Float64()) / float64(n)).SinCos()
		r := size * (0.45 + 0.55*rng.Float64())
		corners[i] = geom.Point{X: r * cos, Y: r * sin}
	}
	var ring []geom.Curve
	for i, p := range corners {
		q := corners[(i+1)%n]
		c := geom.LineFrom(p, q)
		normal := q.Sub(p).Left()
		switch rng.IntN(4) {
		case 0:
			if arc, err := geom.ArcSweep(p, q, geom.Radians(0.6*(rng.Float64()-0.5))); err == nil {
				c = arc
			}
		case 1:
			c = geom.CubicFrom(p, p.Lerp(q, 0.3).Add(normal.Mul(0.1*(rng.Float64()-0.5))), p.Lerp(q, 0.7).Add(normal.Mul(0.1*(rng.Float64()-0.5))), q)
		}
		ring = append(ring, c)
	}
	rings := [][]geom.Curve{ring}
	if rng.IntN(3) == 0 {
		if r := size * 0.15; clearOf(ring, r) {
			half := geom.Radians(-math.Pi)
			p, q := geom.Point{X: r}, geom.Point{X: -r}
			rings = append(rings, []geom.Curve{geom.ArcBetween(p, q, geom.Point{}, half), geom.ArcBetween(q, p, geom.Point{}, half)})
		}
	}
	return rings
}

// clearOf reports whether a ring round the origin stays further from it than r.
func clearOf(ring []geom.Curve, r float64) bool {
	if geom.Winding(ring, geom.Point{}) == 0 {
		return false
	}
	for _, c := range ring {
		if _, d := c.Nearest(geom.Point{}); d < 1.2*r {
			return false
		}
	}
	return true
}

// validRings reports whether a ring encloses an area and does not cross itself.
func validRings(rings [][]geom.Curve) bool {
	var edges []geom.Edge
	for i, c := range rings[0] {
		edges = append(edges, geom.Edge{Name: strconv.Itoa(i), Curve: c})
	}
	p := geom.Path{Edges: edges, Closed: true}
	_, err := p.Check()
	return err == nil && p.Area() > 1
}
