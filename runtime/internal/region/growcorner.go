package region

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// link is what joins two offset curves at a corner.
type link []geom.Curve

// corner is where the offset of one edge is followed by that of the next.
type corner struct {
	s, t  *shifted
	d     float64
	style cornerStyle
}

// cornerStyle says what becomes of a corner at which the offsets part.
type cornerStyle bool

const (
	sharpCorners cornerStyle = false // as Grow says
	roundCorners cornerStyle = true  // an arc about the old corner
)

// link closes the gap between the two offsets, changing their ends where that
// serves.
func (c corner) link() link {
	turn := c.turn()
	full := c.s.fullEnd && c.t.fullStart
	switch {
	case full && math.Abs(turn) <= geom.SmoothSine && math.Abs(turn*c.d) <= smoothGap:
		c.joinEnds()
		return nil
	case turn*c.d <= 0:
		return c.back()
	}
	return c.outer(turn)
}

// turn is the signed angle in radians by which the outline turns at the corner,
// left positive. Near a half turn the sign decides between a spike of board and a
// slit into it, and rounding may flip the tangents' sign; there it is that of the
// order in which both curves leave a circle about the corner. By tolerance: a
// corner whose curves leave it within rounding of each other may come out either way.
func (c corner) turn() float64 {
	u, v := c.s.Tangent(1), c.t.Tangent(0)
	turn := geom.AngleBetween(u, v).Radians()
	const cusp = 0.1 // about 6° left between the edges
	if math.Abs(turn) < math.Pi-cusp {
		return turn
	}
	in, out := c.s.Reverse(), c.t.Curve
	r := min(reach(in), reach(out)) / 2
	inner := leaves(in, r).Sub(leaves(out, r)).Normalize().Radians()
	return math.Copysign(turn, inner)
}

// joinEnds makes the ends of two offsets that run on smoothly, at most smoothGap
// apart, the same point: the end of the curve if the other is a line, else the
// middle between both.
func (c corner) joinEnds() {
	at := c.s.end.Lerp(c.t.start, 0.5)
	switch {
	case c.s.end == c.t.start:
		return
	case c.s.Kind == geom.Line:
		at = c.t.start
	case c.t.Kind == geom.Line:
		at = c.s.end
	}
	c.s.endAt(at)
	c.t.startAt(at)
}

// back goes from one offset to the other by way of the old corner.
func (c corner) back() link {
	v := c.s.Q
	return link{geom.LineFrom(c.s.end, v), geom.LineFrom(v, c.t.start)}
}

// outer fills the wedge that opens between the two offsets.
func (c corner) outer(turn float64) link {
	v := c.s.Q
	from := v.Add(rightOf(c.s.Curve, 1).Mul(c.d))
	to := v.Add(rightOf(c.t.Curve, 0).Mul(c.d))
	var out link
	if !c.s.fullEnd {
		out = append(out, geom.LineFrom(c.s.end, v), geom.LineFrom(v, from))
	}
	out = append(out, c.tip(turn, from, to)...)
	if !c.t.fullStart {
		out = append(out, geom.LineFrom(to, v), geom.LineFrom(v, c.t.start))
	}
	return out
}

// tip is the outer corner itself, from one offset's end to the other's start.
func (c corner) tip(turn float64, from, to geom.Point) link {
	v := c.s.Q
	// Square to both offsets' tangents: on the bisector, 1/cos(turn/2) out.
	_, cos := geom.Radians(turn / 2).SinCos()
	far := 1 / cos
	if c.style == roundCorners || !(far > 0 && far < mitreLimit) {
		return link{{Kind: geom.Arc, P: from, Q: to, C: v, R: math.Abs(c.d), Sweep: geom.Radians(turn)}}
	}
	if m, ok := c.crossing(2 * far * math.Abs(c.d)); ok {
		c.s.extendEnd(m)
		c.t.extendStart(m)
		return nil
	}
	m := v.Add(from.Add(to).Sub(v.Mul(2)).Unit().Mul(math.Abs(c.d) * far))
	var out link
	if c.s.fullEnd && c.s.Kind == geom.Line {
		c.s.extendEnd(m)
	} else {
		out = append(out, geom.LineFrom(from, m))
	}
	if c.t.fullStart && c.t.Kind == geom.Line {
		c.t.extendStart(m)
	} else {
		out = append(out, geom.LineFrom(m, to))
	}
	return out
}

// crossing is where the two offsets meet when they are extended least: lines
// along themselves, arcs by up to a quarter turn along their circles, no further
// than within from the old corner.
func (c corner) crossing(within float64) (geom.Point, bool) {
	if !c.s.fullEnd || !c.t.fullStart || c.s.Kind == geom.Cubic || c.t.Kind == geom.Cubic {
		return geom.Point{}, false
	}
	a, b := c.s.curves[0], c.t.curves[0]
	best, least := geom.Point{}, math.Inf(1)
	for _, m := range carriersMeet(a, b) {
		more := ahead(a, m) + ahead(b.Reverse(), m)
		if more < least && m.Dist(c.s.Q) <= within {
			best, least = m, more
		}
	}
	return best, !math.IsInf(least, 1)
}

// ahead is how much longer the curve gets when extended beyond its end to m on
// its carrier; infinite when m lies behind a line's end or more than a quarter
// turn along an arc's circle.
func ahead(c geom.Curve, m geom.Point) float64 {
	if c.Kind == geom.Line {
		if l := m.Sub(c.Q).Dot(c.Tangent(1)); l >= 0 {
			return l
		}
		return math.Inf(1)
	}
	angle := m.Sub(c.C).Angle().Sub(c.Q.Sub(c.C).Angle()).Normalize().Radians()
	angle = math.Copysign(angle, angle*c.Sweep.Radians())
	if angle < 0 || angle > math.Pi/2 || angle+c.Sweep.Abs().Radians() > 2*math.Pi {
		return math.Inf(1)
	}
	return angle * c.R
}

// carriersMeet lists the points where the whole line or circle of one curve
// meets that of another.
func carriersMeet(a, b geom.Curve) []geom.Point {
	switch {
	case a.Kind == geom.Arc && b.Kind == geom.Arc:
		return circlesMeet(a, b)
	case a.Kind == geom.Arc:
		return lineMeetsCircle(b, a)
	case b.Kind == geom.Arc:
		return lineMeetsCircle(a, b)
	}
	u, v := a.Tangent(0), b.Tangent(0)
	cross := u.Cross(v)
	if cross == 0 {
		return nil
	}
	return []geom.Point{a.Q.Add(u.Mul(b.P.Sub(a.Q).Cross(v) / cross))}
}

// lineMeetsCircle drops the perpendicular from the centre to the line, of length
// h; the points lie √(R² − h²) to either side of its foot. None where h > R.
func lineMeetsCircle(l, c geom.Curve) []geom.Point {
	u := l.Tangent(0)
	foot := l.P.Add(u.Mul(c.C.Sub(l.P).Dot(u)))
	h := foot.Dist(c.C)
	if h > c.R {
		return nil
	}
	half := u.Mul(math.Sqrt((c.R - h) * (c.R + h)))
	return []geom.Point{foot.Sub(half), foot.Add(half)}
}

// circlesMeet intersects two circles by the radical line, which crosses the line
// of centres s = (d² + R² − R′²)/2d from the first, d apart; the points lie
// √(R² − s²) to either side. Concentric circles and those that lie apart or inside
// each other have none.
func circlesMeet(a, b geom.Curve) []geom.Point {
	d := a.C.Dist(b.C)
	if d < geom.Tiny || d > a.R+b.R || d < math.Abs(a.R-b.R) {
		return nil
	}
	u := b.C.Sub(a.C).Mul(1 / d)
	s := float64((d + (a.R-b.R)*(a.R+b.R)/d) / 2)
	h := u.Left().Mul(math.Sqrt(math.Max(0, (a.R-s)*(a.R+s))))
	foot := a.C.Add(u.Mul(s))
	return []geom.Point{foot.Sub(h), foot.Add(h)}
}

// extendEnd and extendStart lengthen the offset to m on its carrier.
func (s *shifted) extendEnd(m geom.Point) {
	s.curves[len(s.curves)-1] = extend(s.curves[len(s.curves)-1], m)
	s.end = m
}

func (s *shifted) extendStart(m geom.Point) {
	s.curves[0] = extend(s.curves[0].Reverse(), m).Reverse()
	s.start = m
}

// extend lengthens a curve beyond its end to m, as far as ahead says.
func extend(c geom.Curve, m geom.Point) geom.Curve {
	if c.Kind == geom.Arc {
		c.Sweep = c.Sweep.Add(geom.Radians(math.Copysign(ahead(c, m)/c.R, c.Sweep.Radians())))
	}
	c.Q = m
	return c
}
