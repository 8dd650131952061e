package preview

import "github.com/creasewright/creasewright/runtime/geom"

// placing carries millimetres of the design onto the paper, where y runs down.
type placing struct {
	scale  float64
	origin geom.Point // where the design's (0, 0) lies on the paper
}

// placeAt puts corner, the upper left one of a box of the design, at p.
func placeAt(scale float64, box geom.Box, p geom.Point) placing {
	return placing{scale, geom.Pt(p.X-float64(box.Min.X*scale), p.Y+float64(box.Max.Y*scale))}
}

func (m placing) point(p geom.Point) geom.Point {
	return geom.Pt(m.origin.X+float64(m.scale*p.X), m.origin.Y-float64(m.scale*p.Y))
}

// curve keeps a curve's kind: the mirror in y turns an arc's sense round.
func (m placing) curve(c geom.Curve) geom.Curve {
	c.P, c.Q = m.point(c.P), m.point(c.Q)
	if c.Kind != geom.Line {
		c.C = m.point(c.C)
	}
	if c.Kind == geom.Cubic {
		c.D = m.point(c.D)
	}
	c.R *= m.scale
	c.Sweep = c.Sweep.Neg()
	return c
}

func (m placing) curves(cs []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, len(cs))
	for i, c := range cs {
		out[i] = m.curve(c)
	}
	return out
}

// runs carries runs of points.
func (m placing) runs(rs [][]geom.Point) [][]geom.Point {
	n := 0
	for _, r := range rs {
		n += len(r)
	}
	all, out := make([]geom.Point, 0, n), make([][]geom.Point, len(rs))
	for i, r := range rs {
		from := len(all)
		for _, p := range r {
			all = append(all, m.point(p))
		}
		out[i] = all[from:len(all):len(all)]
	}
	return out
}

func (m placing) box(b geom.Box) geom.Box {
	return geom.BoxOf(m.point(b.Min), m.point(b.Max))
}
