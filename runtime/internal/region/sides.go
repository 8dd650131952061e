package region

import (
	"github.com/creasewright/creasewright/runtime/geom"
)

// winding holds, for one closed chain or set of them within an arrangement, how
// it lies to each piece.
type winding struct {
	net  []int // of each edge: how many of its origins run forward, less those that run against it
	left []int // of each edge: winding number on its left

	rim   []int // the edges that the chains run along
	boxes *geom.BoxTree
	far   float64 // no edge of the rim reaches further along x
	found []int
}

// right is the winding number on piece k's right: crossing a piece from right
// to left raises it by one for each use that runs forward.
func (c *winding) right(k int) int { return c.left[k] - c.net[k] }

// wind works out winding numbers on both sides of every piece with respect to
// the curves numbered from first up to last, which must form closed chains.
// Pieces in a row have the same number on their left, so one of them is asked,
// the longest, whose middle is clearest of all others. For each row the edges are gone through
// that a ray from there meets: of a grid of n holes √n, at worst all.
func (a *Arrangement) wind(first, last int) *winding { return a.windRows(first, last, a.onward()) }

// windRows is wind with the rows known.
func (a *Arrangement) windRows(first, last int, next []dart) *winding {
	c := &winding{net: make([]int, len(a.Edges)), left: make([]int, len(a.Edges))}
	var boxes []geom.Box
	for k := range a.Edges {
		if c.net[k] = a.Edges[k].net(first, last); c.net[k] != 0 {
			box := a.Edges[k].Bounds().Grow(geom.SnapTolerance) // which leaves room for rounding
			c.rim, boxes = append(c.rim, k), append(boxes, box)
			c.far = max(c.far, box.Max.X)
		}
	}
	c.boxes = geom.NewBoxTree(boxes)
	done := make([]bool, len(a.Edges))
	row := make([]HalfEdge, 0, len(a.Edges))
	for k := range a.Edges {
		if done[k] {
			continue
		}
		row = c.row(k, next, row[:0])
		flow, asked := c.flow(row[0]), a.longest(row)
		w := c.windingAt(a, asked.Edge) // on the row's left
		if asked.Reversed {
			w += flow
		}
		for _, h := range row {
			c.left[h.Edge], done[h.Edge] = w, true
			if h.Reversed {
				c.left[h.Edge] -= flow
			}
		}
	}
	return c
}

// flow is how often the chains run the half's way, less how often against it.
func (c *winding) flow(h HalfEdge) int {
	if h.Reversed {
		return -c.net[h.Edge]
	}
	return c.net[h.Edge]
}

// windingAt is the winding number on a piece's left at its middle.
//
// It is a sum of whole numbers, one for each edge of the rim; for those whose boxes a ray from the
// middle along +x does not meet they are 0, as their chords do not cross it and they do not go
// round the middle. How an edge's chord passes
// the point is decided exactly (geom.Orient); how often an arc or cubic goes round it beyond its
// chord is an angle rounded to whole turns. That angle is off by some 1e-15 times
// the number of parts the curve is split into, at most about 100, so rounding
// takes it to the right number unless the point lies on the curve to within
// rounding, some 1e-12 mm. Other edges come near only in nodes, and the middle
// of the row's longest edge is at least a few geom.SnapTolerance away from those. The
// edge itself passes through the point and is replaced by its detour.
func (c *winding) windingAt(a *Arrangement, piece int) int {
	at, sum := a.Edges[piece].At(0.5), 0
	c.found = c.boxes.Intersecting(geom.BoxOf(at, geom.Pt(max(c.far, at.X), at.Y)), c.found[:0])
	for _, i := range c.found {
		if k := c.rim[i]; k != piece {
			sum += c.net[k] * a.Edges[k].Turns(at)
		}
	}
	if n := c.net[piece]; n != 0 {
		for _, d := range detourRight(a.Edges[piece].Curve) {
			sum += n * d.Turns(at)
		}
	}
	return sum
}

// net counts the piece's uses by curves from first up to last, those against
// the piece negative.
func (p *Edge) net(first, last int) int {
	n := 0
	for _, u := range p.Origins {
		switch {
		case u.Curve < first || u.Curve >= last:
		case u.Reversed:
			n--
		default:
			n++
		}
	}
	return n
}

// detourRight is a chain with the curve's ends that passes its mid-point on the
// right, so that the mid-point counts as lying on the curve's left. How far it
// strays does not matter: only the side of the mid-point does.
func detourRight(c geom.Curve) [4]geom.Curve {
	h := 0.25
	for ; h > 1e-6 && !bendsLittle(c, h); h /= 2 {
	}
	before, after, mid := c.Part(0, 0.5-h), c.Part(0.5+h, 1), c.At(0.5)
	in, out := before.Q, after.P
	by := mid.Sub(c.Tangent(0.5).Left().Mul(in.Dist(out)))
	return [...]geom.Curve{before, geom.LineFrom(in, by), geom.LineFrom(by, out), after}
}

// bendsLittle reports whether the curve turns less than a quarter either way
// from its mid-point within h of it, so that a detour there keeps to one side.
func bendsLittle(c geom.Curve, h float64) bool {
	if c.Kind != geom.Cubic {
		return true // a half circle at most, seen from its middle
	}
	m, t := c.Part(0.5-h, 0.5+h), c.Tangent(0.5)
	return m.C.Sub(m.P).Dot(t) > 0 && m.D.Sub(m.C).Dot(t) > 0 && m.Q.Sub(m.D).Dot(t) > 0
}
