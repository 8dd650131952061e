package emittest

import (
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// RandomBlank makes up a blank's line work: strokes of lines, arcs and cubics,
// open and closed, on a random choice of kinds, somewhere in the plane. It is
// not the line work of any board, and it has no piece.
func RandomBlank(rnd *rand.Rand) *blank.Blank {
	b := &blank.Blank{Bounds: geom.EmptyBox()}
	away := geom.Pt(rnd.NormFloat64()*1000, rnd.NormFloat64()*1000)
	for _, kind := range blank.Kinds() {
		if kind != blank.CutLine && rnd.Intn(3) == 0 {
			continue
		}
		l := blank.Layer{Kind: kind}
		for range 1 + rnd.Intn(5) {
			centre := away.Add(geom.Pt(rnd.NormFloat64()*100, rnd.NormFloat64()*100))
			l.Strokes = append(l.Strokes, randomStroke(rnd, centre))
		}
		b.Layers = append(b.Layers, l)
		for _, c := range Curves(l) {
			b.Bounds = b.Bounds.Union(c.Bounds())
		}
	}
	return b
}

func randomStroke(rnd *rand.Rand, centre geom.Point) blank.Stroke {
	size := math.Exp(rnd.Float64()*6 - 1) // 0.4 to 150 mm
	switch rnd.Intn(6) {
	case 0: // a circle as one arc, either way round
		sweep := 2 * math.Pi
		if rnd.Intn(2) == 0 {
			sweep = -sweep
		}
		return blank.Stroke{Closed: true, Curves: []geom.Curve{geom.ArcBetween(centre.Add(geom.Pt(size, 0)), centre.Add(geom.Pt(size, 0)), centre, geom.Radians(sweep))}}
	case 1: // a lone line
		return blank.Stroke{Curves: []geom.Curve{geom.LineFrom(centre, centre.Add(geom.Polar(size, geom.Radians(rnd.Float64()*7))))}}
	case 2: // a drop: one cubic that comes home
		c, d := centre.Add(geom.Pt(size, size)), centre.Add(geom.Pt(-size, size))
		return blank.Stroke{Closed: true, Curves: []geom.Curve{geom.CubicFrom(centre, c, d, centre)}}
	}
	return randomChain(rnd, centre, size)
}

// randomChain goes round a centre through random corners.
func randomChain(rnd *rand.Rand, centre geom.Point, size float64) blank.Stroke {
	n := 2 + rnd.Intn(8)
	corners := make([]geom.Point, n)
	for i := range corners {
		angle := 2 * math.Pi * (float64(i) + 0.5*rnd.Float64()) / float64(n)
		corners[i] = centre.Add(geom.Polar(size*(0.5+rnd.Float64()), geom.Radians(angle)))
	}
	s := blank.Stroke{Closed: rnd.Intn(3) > 0}
	onlyStraight := rnd.Intn(2) == 0 // no cubics
	for i, p := range corners {
		if i == n-1 && !s.Closed {
			break
		}
		s.Curves = append(s.Curves, randomCurve(rnd, p, corners[(i+1)%n], onlyStraight))
	}
	return s
}

func randomCurve(rnd *rand.Rand, p, q geom.Point, noCubic bool) geom.Curve {
	switch k := rnd.Intn(3); {
	case k == 0 && !noCubic:
		d := q.Sub(p)
		c1 := p.Add(d.Mul(rnd.Float64())).Add(d.Left().Mul(rnd.NormFloat64() / 2))
		c2 := p.Add(d.Mul(rnd.Float64())).Add(d.Left().Mul(rnd.NormFloat64() / 2))
		return geom.CubicFrom(p, c1, c2, q)
	case k == 1:
		// From a tenth of a degree to nearly a full turn, either way.
		sweep := math.Exp(rnd.Float64()*8) * 0.0018
		if rnd.Intn(2) == 0 {
			sweep = -sweep
		}
		if c, err := geom.ArcSweep(p, q, geom.Radians(sweep)); err == nil {
			return c
		}
	}
	return geom.LineFrom(p, q)
}
