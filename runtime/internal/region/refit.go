package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// refit is the curve moved by at most a few welds so that it runs from p to q.
// A line follows; a cubic's control points shift with its ends. An arc whose
// ends move by no more than geom.Tiny keeps everything else to the bit. Moved
// further, it keeps its radius and gets a new centre; where that would take its
// middle far off, near a half or a full circle, it gets the nearest centre that
// serves and a new radius with it.
func refit(c geom.Curve, p, q geom.Point) geom.Curve {
	if c.P == p && c.Q == q {
		return c
	}
	switch c.Kind {
	case geom.Arc:
		return refitArc(c, p, q)
	case geom.Cubic:
		return geom.CubicFrom(p, c.C.Add(p.Sub(c.P)), c.D.Add(q.Sub(c.Q)), q)
	}
	return geom.LineFrom(p, q)
}

func refitArc(c geom.Curve, p, q geom.Point) geom.Curve {
	moved := math.Max(c.P.Dist(p), c.Q.Dist(q))
	switch {
	case moved <= geom.Tiny:
		c.P, c.Q = p, q
		return c
	case p == q: // a full turn, or nothing
		c.C = c.C.Add(p.Sub(c.P))
		c.P, c.Q = p, q
		return c
	case c.P.Dist(c.Q) < 4*geom.SnapTolerance && c.Sweep.Abs().Radians() < math.Pi:
		// As short as the weld: its direction means nothing any more.
		return geom.LineFrom(p, q)
	}
	mid, left := p.Lerp(q, 0.5), q.Sub(p).Unit().Left()
	side := c.C.Sub(mid).Dot(left)
	if half := float64(p.Dist(q) / 2); half < c.R {
		h := math.Sqrt((c.R - half) * (c.R + half))
		if d := arcAbout(c, p, q, mid.Add(left.Mul(math.Copysign(h, side)))); d.At(0.5).Dist(c.At(0.5)) <= 4*geom.SnapTolerance {
			d.R = c.R
			return d
		}
	}
	return arcAbout(c, p, q, mid.Add(left.Mul(side)))
}

// arcAbout is the arc from p to q about a centre that turns nearly as far as c.
func arcAbout(c geom.Curve, p, q, centre geom.Point) geom.Curve {
	sweep := q.Sub(centre).Angle().Sub(p.Sub(centre).Angle()).Normalize()
	if sweep.Sub(c.Sweep).Abs().Radians() > math.Pi {
		sweep = sweep.Add(geom.Radians(math.Copysign(2*math.Pi, c.Sweep.Radians())))
	}
	return geom.ArcBetween(p, q, centre, sweep)
}
