package geom

import "math"

// Winding counts how often the closed chain of curves goes round q, counter-
// clockwise positive. Exact up to rounding for lines and arcs; cubics are
// halved until q leaves their hull. On the rim the answer is arbitrary.
func Winding(curves []Curve, q Point) int {
	total := 0.0
	for _, c := range curves {
		total += c.turnAbout(q)
	}
	return int(math.Round(total / (2 * math.Pi)))
}

// turnAbout is the angle that the curve's point turns as seen from q.
func (c Curve) turnAbout(q Point) float64 {
	switch c.Kind {
	case Arc:
		return c.arcTurnAbout(q)
	case Cubic:
		return c.cubicTurnAbout(q, 40)
	}
	return chordTurn(c.P, c.Q, q)
}

func chordTurn(p, r, q Point) float64 {
	a, b := p.Sub(q), r.Sub(q)
	return AngleBetween(a, b).Radians()
}

// arcTurnAbout splits the arc into parts short of a half circle: there the
// chord's turn is right unless q lies between chord and arc.
func (c Curve) arcTurnAbout(q Point) float64 {
	n := int(math.Ceil(c.Sweep.Abs().Radians() / (math.Pi / 2)))
	sum := 0.0
	prev := c.P
	for i := 1; i <= n; i++ {
		next := c.At(float64(i) / float64(n))
		turn := chordTurn(prev, next, q)
		if q.Dist(c.C) < c.R {
			// Inside the circle and beyond the chord: the other way round. The
			// sign of the turn itself says on which side q lies; a second test of
			// its own could round the other way for points on the chord.
			if c.Sweep.Radians() > 0 && turn < 0 {
				turn += 2 * math.Pi
			} else if c.Sweep.Radians() < 0 && turn > 0 {
				turn -= 2 * math.Pi
			}
		}
		sum += turn
		prev = next
	}
	return sum
}

func (c Curve) cubicTurnAbout(q Point, depth int) float64 {
	if depth == 0 || !BoxOf(c.P, c.C, c.D, c.Q).Contains(q) {
		// Seen from outside its hull a curve turns as its chord does.
		return chordTurn(c.P, c.Q, q)
	}
	l, r := c.splitCubic(0.5)
	return l.cubicTurnAbout(q, depth-1) + r.cubicTurnAbout(q, depth-1)
}
