package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// refit is the curve moved by at most a few welds so that it runs from p to q.
// A line follows; a cubic's control points shift with its ends. An arc whose
// ends move by no more than geom.Tiny keeps everything else to the bit. Moved
// further, it keeps its radius and gets a new centre, or, where the chord is
// too near the diameter for that, keeps its sweep and gets a new radius too.
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
	case c.P.Dist(c.Q) < 4*geom.Weld && math.Abs(c.Sweep) < math.Pi:
		// As short as the weld: its direction means nothing any more.
		return geom.LineFrom(p, q)
	}
	if d, ok := sameRadius(c, p, q); ok {
		return d
	}
	return sameSweep(c, p, q)
}

// sameRadius lays an arc of c's radius and sense from p to q, if that takes its
// mid-point no further than a few welds. Its centre may move much further where
// the arc is flat.
func sameRadius(c geom.Curve, p, q geom.Point) (geom.Curve, bool) {
	half := p.Dist(q) / 2
	if half >= c.R {
		return c, false
	}
	mid, left := p.Lerp(q, 0.5), q.Sub(p).Unit().Left()
	h := math.Sqrt((c.R - half) * (c.R + half))
	if c.C.Sub(mid).Dot(left) < 0 {
		h = -h
	}
	centre := mid.Add(left.Mul(h))
	sweep := geom.NormalAngle(q.Sub(centre).Angle() - p.Sub(centre).Angle())
	if math.Abs(sweep-c.Sweep) > math.Pi {
		sweep += math.Copysign(2*math.Pi, c.Sweep)
	}
	d := geom.Curve{Kind: geom.Arc, P: p, Q: q, C: centre, R: c.R, Sweep: sweep}
	return d, d.At(0.5).Dist(c.At(0.5)) <= 4*geom.Weld
}

// sameSweep scales and turns the arc as one so that its ends fall on p and q.
func sameSweep(c geom.Curve, p, q geom.Point) geom.Curve {
	u, v, w := c.Q.Sub(c.P), q.Sub(p), c.C.Sub(c.P)
	l := u.Dot(u)
	// v/u as complex numbers, times w.
	re, im := u.Dot(v)/l, u.Cross(v)/l
	w = geom.Pt(re*w.X-im*w.Y, im*w.X+re*w.Y)
	return geom.ArcBetween(p, q, p.Add(w), c.Sweep)
}
