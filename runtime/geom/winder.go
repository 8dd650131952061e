package geom

import "math"

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

// crossesRay is the curve's share of the winding number: how often its chord
// crosses the ray from q along +x, upward less downward, and how many whole
// turns it makes about q that its chord does not.
func (c Curve) crossesRay(q Point, box Box) int {
	n := 0
	// Ends level with q count as below it.
	switch up, down := c.P.Y <= q.Y && c.Q.Y > q.Y, c.P.Y > q.Y && c.Q.Y <= q.Y; {
	case up && leftOfChord(c.P, c.Q, q):
		n = 1
	case down && !leftOfChord(c.P, c.Q, q):
		n = -1
	}
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

// leftOfChord reports, exactly, whether q lies to the left of the line from p to
// r. A point on the line itself counts as above it by less than any distance
// (symbolic perturbation), so that curves which share an end cross one ray once.
func leftOfChord(p, r, q Point) bool {
	side := Orient(p, r, q)
	return side > 0 || side == 0 && r.X > p.X
}
