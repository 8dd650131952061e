package toolpath

import (
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// knifeError is how far, in mm, the axis may stray from its exact way: where a
	// cubic is fitted to it, and where a small corner is taken straight. The tip strays no further
	// than the axis does (see the package comment), a tenth of what its cut may be off.
	knifeError = 0.002

	// fitDepth is how often a fit may be halved. What is left after that is 6e-8 of a
	// curve, on which the tip does not move: the blade turns there as at a corner.
	fitDepth = 24
)

// knifePath is the way of the axis along which a trailing blade's tip runs over the
// curves, end to end. The tip T trails the axis by t.Offset = d along the blade, and to be cut along
// its own heading the line's tangent u has to lie along the blade, so that the axis is at
//
//	P = T + d·u
//
// heading is the unit direction in which the blade points as it comes down, the tip on the first
// curve's start; it is first turned into that curve. The zero point: it
// points along the curve already.
func knifePath(curves []geom.Curve, t board.Tool, heading geom.Point) []Move {
	h := holder{d: t.Offset, swivel: t.Swivel}
	for _, c := range curves {
		if c.Kind != geom.Arc && c.P == c.Q && c.Length() == 0 {
			continue
		}
		if heading != (geom.Point{}) {
			h.turn(c.P, heading, c.Tangent(0))
		}
		h.along(c)
		heading = c.Tangent(1)
	}
	return h.moves
}

// holder collects the way of the axis.
type holder struct {
	d      float64
	swivel geom.Angle
	moves  []Move
}

// along leads the tip along one curve. A line is shifted forward by d. On an arc of radius
// R the axis keeps the distance √(R² + d²) from the centre, atan(d/R) ahead of the tip.
func (h *holder) along(c geom.Curve) {
	if c.Kind == geom.Cubic {
		h.fit(c, 0, 1, fitDepth)
		return
	}
	p, q := h.ahead(c, 0), h.ahead(c, 1)
	if c.Kind == geom.Arc {
		h.add(geom.ArcBetween(p, q, c.C, c.Sweep), false)
		return
	}
	h.add(geom.LineFrom(p, q), false)
}

// ahead is the axis while the tip is on a curve at parameter t.
func (h *holder) ahead(c geom.Curve, t float64) geom.Point {
	return c.At(t).Add(c.Tangent(t).Mul(h.d))
}

// add appends a move, from where the last one ended to the bit.
func (h *holder) add(c geom.Curve, swing bool) {
	if n := len(h.moves); n > 0 {
		c.P = h.moves[n-1].Q
	}
	h.moves = append(h.moves, Move{c, swing})
}

// turn takes the axis round a corner at which the tip turns from the unit direction u to v. The
// exact way is an arc of radius d about the corner, on which the tip stands
// still. Up to the swivel angle it is no swing: the tool stays down as on a curve, and where the chord
// is as good as the arc it is taken straight, which pushes the tip back along its own
// cut by d(1 − cos(turn/2)) at most. A gap below geom.SnapTolerance is closed by moving the
// end of the line or cubic before it.
func (h *holder) turn(at, u, v geom.Point) {
	angle := geom.AngleBetween(u, v)
	from, to := at.Add(u.Mul(h.d)), at.Add(v.Mul(h.d))
	_, cos := angle.Mul(0.5).SinCos()
	gap, last := from.Dist(to), len(h.moves)-1
	switch {
	case gap <= geom.SnapTolerance && last < 0:
		// The stroke begins at to.
	case gap <= geom.Tiny || gap <= geom.SnapTolerance && h.moves[last].Kind != geom.Arc:
		c := &h.moves[last]
		if c.Kind == geom.Cubic {
			c.D = c.D.Add(to.Sub(c.Q))
		}
		c.Q = to
	case angle.Abs().Radians() > h.swivel.Radians() && gap > geom.SnapTolerance:
		h.add(geom.ArcBetween(from, to, at, angle), true)
	case h.d*(1-cos) <= knifeError:
		h.add(geom.LineFrom(from, to), false)
	default:
		h.add(geom.ArcBetween(from, to, at, angle), false)
	}
}

// fit leads the tip along a cubic from parameter a to b, by cubics with the place and derivative
// of the exact way at both ends, halved until seven samples between stray no more than
// knifeError.
func (h *holder) fit(c geom.Curve, a, b float64, depth int) {
	p, q := h.ahead(c, a), h.ahead(c, b)
	led := geom.CubicFrom(p, p.Add(h.rate(c, a).Mul((b-a)/3)), q.Sub(h.rate(c, b).Mul((b-a)/3)), q)
	if h.strays(led, c, a, b) <= knifeError {
		h.add(led, false)
		return
	}
	if depth == 0 {
		h.turn(c.At((a+b)/2), c.Tangent(a), c.Tangent(b))
		return
	}
	m := (a + b) / 2
	h.fit(c, a, m, depth-1)
	h.fit(c, m, b, depth-1)
}

// rate is the derivative of the axis by the cubic's parameter t: the tangent
// turns by B′ × B″/|B′|² to the left, so that it is
//
//	B′ + d · (B′ × B″/|B′|²) · n,   n = the tangent turned a quarter to the left
//
// Just inside the ends, as at an end on which a control point falls it is only a limit.
func (h *holder) rate(c geom.Curve, t float64) geom.Point {
	const edge = 1e-6
	t = min(max(t, edge), 1-edge)
	d1, d2 := c.Derivatives(t)
	square := d1.Dot(d1)
	if square == 0 {
		return geom.Point{}
	}
	return d1.Add(d1.Unit().Left().Mul(h.d * d1.Cross(d2) / square))
}

// strays is the largest distance of seven samples of a fit from the exact way at the
// same parameters.
func (h *holder) strays(led, c geom.Curve, a, b float64) float64 {
	const steps = 8
	worst := 0.0
	for i := 1; i < steps; i++ {
		t := float64(i) / steps
		worst = math.Max(worst, led.At(t).Dist(h.ahead(c, a+float64((b-a)*t))))
	}
	return worst
}
