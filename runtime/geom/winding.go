package geom

import "math"

// Winding counts how often the closed chain of curves goes round q, counter-
// clockwise positive: the sum of the angles that the curves turn as seen from q,
// over 2π. The chain may miss being closed by SnapTolerance at each joint, which
// changes the sum by little unless q is as near; WindingIndex is faster, and exact
// for lines, but needs ends that agree to the bit.
//
// The sum is rounded to a whole number, which is right as long as all of it is off
// by less than half a turn. Each chord's angle is good to some 1e-15, and
// there is one for a line, four for a full circle, and for a cubic up to two
// per halving. On the rim the answer is arbitrary.
// Not exact and not filtered: points within rounding of the rim may fall on either
// side. Whoever needs a guaranteed side asks a WindingIndex, on lines.
func Winding(curves []Curve, q Point) int {
	total := 0.0
	for _, c := range curves {
		total += c.turnAbout(q)
	}
	return int(math.Round(total / (2 * math.Pi)))
}

// turnAbout is the angle in radians that the curve's point turns as seen from q,
// counter-clockwise positive.
func (c Curve) turnAbout(q Point) float64 {
	switch c.Kind {
	case Arc:
		return c.arcTurnAbout(q)
	case Cubic:
		return c.cubicTurnAbout(q, 40)
	}
	return chordTurn(c.P, c.Q, q)
}

// chordTurn is the angle in (−π, π] that a straight line from p to r turns by
// as seen from q.
func chordTurn(p, r, q Point) float64 {
	a, b := p.Sub(q), r.Sub(q)
	return AngleBetween(a, b).Radians()
}

// arcTurnAbout splits the arc into parts short of a half circle: there the
// chord's turn is right unless q lies between chord and arc.
// Whether q lies inside the circle is a rounded comparison of distances; it matters
// only for q beyond the chord, where an error moves a point next to the arc across it.
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

// cubicTurnAbout halves the cubic until q lies outside the box of the control
// points of every part, at most depth times: after 40, a part is shorter than
// rounding, and q lies on the curve.
// The box test is exact for the control points as given; halving rounds these by
// some ulp of the coordinates; nearer to the curve than that nothing is guaranteed.
func (c Curve) cubicTurnAbout(q Point, depth int) float64 {
	if depth == 0 || !BoxOf(c.P, c.C, c.D, c.Q).Contains(q) {
		// Seen from outside its hull a curve turns as its chord does.
		return chordTurn(c.P, c.Q, q)
	}
	l, r := c.splitCubic(0.5)
	return l.cubicTurnAbout(q, depth-1) + r.cubicTurnAbout(q, depth-1)
}

// fewCurves is up to how many curves a WindingIndex looks at one by one.
const fewCurves = 12

// WindingIndex answers Winding for many points about one closed chain. It counts
// where a ray crosses the chords and looks closer only at curves whose box
// holds the point, so a question takes the logarithm of the chain's length. The
// chain's curves may come in any order but must share their ends to the bit.
type WindingIndex struct {
	curves []Curve
	boxes  []Box
	tree   *BoxTree // over the boxes, for long chains
	bounds Box
}

// NewWindingIndex makes ready for questions about a chain of curves.
func NewWindingIndex(curves []Curve) *WindingIndex {
	w := &WindingIndex{curves: curves, boxes: make([]Box, len(curves)), bounds: EmptyBox()}
	for i, c := range curves {
		w.boxes[i] = c.reach()
		w.bounds = w.bounds.Union(w.boxes[i])
	}
	if len(curves) > fewCurves {
		w.tree = NewBoxTree(w.boxes)
	}
	return w
}

// About counts how often the chain goes round q, as Winding does.
func (w *WindingIndex) About(q Point) int {
	if !w.bounds.Contains(q) {
		return 0
	}
	turns := 0
	if w.tree == nil {
		for i, c := range w.curves {
			turns += c.crossesRay(q, w.boxes[i])
		}
		return turns
	}
	ray := Box{q, Point{w.bounds.Max.X, q.Y}}
	for _, i := range w.tree.Intersecting(ray, nil) {
		turns += w.curves[i].crossesRay(q, w.boxes[i])
	}
	return turns
}

// Turns is the curve's share of how often a closed chain goes round q: the sum
// over its curves is Winding, if they share their ends to the bit. A single
// curve's share means nothing.
func (c Curve) Turns(q Point) int {
	if c.Kind == Line {
		return c.crossesRay(q, Box{})
	}
	return c.crossesRay(q, c.reach())
}

// crossesRay is the curve's share of the winding number: how its chord crosses
// the ray from q along +x, exactly, and how many whole turns the curve makes about q that its
// chord does not. The latter is the difference of two angles over 2π, a whole number
// but for rounding, as curve and chord have the same ends; it is taken on the same
// side for points on the chord as the crossing is. box holds the curve.
// Exact for lines. For arcs and cubics it is exact outside the box, which for an arc
// is itself rounded, and rounded within it, where a point that lies within rounding
// of the curve may be taken to lie on either side.
func (c Curve) crossesRay(q Point, box Box) int {
	n := RayCrossing(c.P, c.Q, q)
	if c.Kind == Line || !box.Contains(q) {
		return n
	}
	a, b := c.P.Sub(q), c.Q.Sub(q)
	chord := atan2(math.Abs(a.Cross(b)), a.Dot(b))
	if !leftOfChord(c.P, c.Q, q) {
		chord = -chord
	}
	return n + int(math.Round((c.turnAbout(q)-chord)/(2*math.Pi)))
}

// RayCrossing says how the straight line from p to r crosses the ray from q along
// +x: 1 upward, −1 downward, 0 not at all. It is exact: whether p and r lie on either
// side of the ray's line is a comparison, ends level with q counting as below it,
// and on which side of the line q lies is Orient's. Summed over a closed chain of lines it is the
// winding number about q; its parity is the even-odd rule.
func RayCrossing(p, r, q Point) int {
	switch up := r.Y > q.Y; {
	case up == (p.Y > q.Y) || up != leftOfChord(p, r, q):
		return 0
	case up:
		return 1
	}
	return -1
}

// leftOfChord reports, exactly, whether q lies to the left of the line from p to
// r. A point on the line itself counts as above it by less than any distance
// (symbolic perturbation), so that curves which share an end cross one ray once.
func leftOfChord(p, r, q Point) bool {
	side := Orient(p, r, q)
	return side > 0 || side == 0 && r.X > p.X
}
