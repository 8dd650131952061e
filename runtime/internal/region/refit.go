package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// nearlyFull reports an arc whose ends are nearer to each other than a quarter of
// its radius, the long way round. Its centre lies on the bisector of a chord that
// short, so moving an end by δ across the chord, of length g, turns the arc about the gap by δ/g
// and moves its middle by 2R·δ/g. Its halves have chords of nearly 2R, and
// their middles move about as far as their ends. A full turn has no chord to turn.
func nearlyFull(c geom.Curve) bool {
	return c.Kind == geom.Arc && c.P != c.Q && c.Sweep.Abs().Radians() > math.Pi && c.P.Dist(c.Q) < c.R/4
}

// refit is the curve with its ends moved, by a few geom.SnapTolerance at most, so
// that it runs from p to q. A line follows; a cubic's control points shift with
// its ends. An arc whose ends move by no more than geom.Tiny keeps everything else
// to the bit. Moved further, it keeps its radius and gets a new centre; where that
// would take its middle far off, near a half or a full circle, it gets the nearest
// centre that serves and a new radius with it.
//
// The inside moves about as far as the ends do, but for arcs of nearly a full turn;
// see nearlyFull (TestRefit, TestRefitTellsATinyArcFromAFullTurn).
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

// refitArc is refit for an arc that has to move. All circles through p and q have
// their centres on the bisector of the two, at a signed distance from the chord:
// √(R² − (|pq|/2)²) for the old radius, side for the centre nearest to the old one.
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
		// Its ends may have changed places: it has no direction to keep.
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

// arcAbout is the arc from p to q about a centre that turns nearly as far as c:
// of the sweeps between the two directions, which differ by whole turns, the one
// nearest to c's.
func arcAbout(c geom.Curve, p, q, centre geom.Point) geom.Curve {
	sweep := q.Sub(centre).Angle().Sub(p.Sub(centre).Angle()).Normalize()
	if sweep.Sub(c.Sweep).Abs().Radians() > math.Pi {
		sweep = sweep.Add(geom.Radians(math.Copysign(2*math.Pi, c.Sweep.Radians())))
	}
	return geom.ArcBetween(p, q, centre, sweep)
}
