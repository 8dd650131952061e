package preview

import (
	"math"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// placing carries millimetres of the design onto the paper, where y runs down.
type placing struct {
	scale  float64
	origin geom.Point // where the design's (0, 0) lies on the paper
}

// placeAt puts corner, the upper left one of a box of the design, at p.
func placeAt(scale float64, box geom.Box, p geom.Point) placing {
	return placing{scale, geom.Pt(p.X-box.Min.X*scale, p.Y+box.Max.Y*scale)}
}

func (m placing) point(p geom.Point) geom.Point {
	return geom.Pt(m.origin.X+m.scale*p.X, m.origin.Y-m.scale*p.Y)
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
	c.Sweep = -c.Sweep
	return c
}

func (m placing) curves(cs []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, len(cs))
	for i, c := range cs {
		out[i] = m.curve(c)
	}
	return out
}

func (m placing) box(b geom.Box) geom.Box {
	return geom.BoxOf(m.point(b.Min), m.point(b.Max))
}

// pathData writes curves already on the paper as SVG path data. A curve that
// does not start where the one before ended starts a new subpath.
func pathData(cs []geom.Curve, closed bool) string {
	var s strings.Builder
	for i, c := range cs {
		if i == 0 || c.P.Dist(cs[i-1].Q) > geom.Weld {
			s.WriteString("M" + pair(c.P))
		}
		switch c.Kind {
		case geom.Arc:
			writeArc(&s, c)
		case geom.Cubic:
			s.WriteString("C" + pair(c.C) + " " + pair(c.D) + " " + pair(c.Q))
		default:
			s.WriteString("L" + pair(c.Q))
		}
	}
	if closed && len(cs) > 0 {
		s.WriteByte('Z')
	}
	return s.String()
}

// writeArc splits an arc into parts of at most 120°: SVG's end-point form is
// ill-conditioned near a half circle.
func writeArc(s *strings.Builder, c geom.Curve) {
	n := math.Max(1, math.Ceil(math.Abs(c.Sweep)/(2*math.Pi/3)-1e-9))
	flag := "0"
	if c.Sweep > 0 { // y runs down, so a positive turn is SVG's positive turn
		flag = "1"
	}
	for i := 1.0; i <= n; i++ {
		s.WriteString("A" + num(c.R) + " " + num(c.R) + " 0 0 " + flag + " " + pair(c.At(i/n)))
	}
}

func pair(p geom.Point) string { return num(p.X) + " " + num(p.Y) }
