package linework

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// Facing is two lines that come close, face to face: the straight way across from P
// on A to Q on B is square to both, or leads from an end.
type Facing struct {
	A, B  *Line
	P, Q  geom.Point
	Gap   float64 // length of the way across, mm
	Board bool    // board lies between; else both are rims and nothing does
	// Slant tells a corner from a side: the sum of the cosines between the way
	// across and either line, 0 where it is square to both, up to 2.
	Slant float64
	// ArcLength is the length in mm from P to Q along the stroke that both lie on,
	// the shorter way round a closed one; infinite where they do not.
	ArcLength float64
}

// maxLean is the tangent of the greatest angle, 5.7 degrees, between two lines
// that face at a place within both. A step across and back from p has the length
// gap·tan(lean), exactly so for straight lines and within a curvature times gap
// for others. The two distances that make up the step, from p and back, differ by
// the factor cos(lean): at this lean by 0.5 %, 0.01 mm of 2 mm, so that one gap
// describes the place from either side. At five times the value, 27
// degrees, they would differ by 11 %, and the two sides of a wedge that closes by
// one half of its length would be taken for a strip.
const maxLean = 0.1

// nearerBeyond is the share of a gap by which the line beyond an end may come
// nearer than the end itself; the end is then a closest place all the same. For a
// next line that turns toward the other by an angle v the share is 1 − cos(v), so
// ends count up to a turn of 26 degrees, and the gap is at most 1/0.9 times the
// distance next to it. The value must be above 0, since the next line begins at
// the end and a parallel one is as near. At five times the value a line could turn
// by 60 degrees and come within half of the gap that is reported for its corner.
const nearerBeyond = 0.1

// Facings visits every two lines that face each other at a gap of less than reach
// mm, which may differ from pair to pair and is 0 for pairs of no interest. Lines
// that touch do not face: a slit may end on a crease. Most is an upper bound
// on reach. The error is the context's cause if that ends first; pairs are then
// missing.
//
// The pairs come from the broad phase over the lines' boxes; each takes a bounded
// number of nearest-point queries.
func (l *Lines) Facings(ctx context.Context, most float64, reach func(a, b *Line) float64, visit func(Facing)) error {
	curves := make([]geom.Curve, len(l.All))
	for i := range l.All {
		curves[i] = l.All[i].Curve
	}
	pairs := 0
	region.Near(ctx, curves, most, func(i, j int) bool {
		if pairs++; ended(ctx, pairs) {
			return false
		}
		a, b := &l.All[i], &l.All[j]
		if r := reach(a, b); r > 0 && !meetAtEnds(a, b) {
			if f, ok := l.facing(a, b, r); ok {
				visit(f)
			}
		}
		return true
	})
	if ctx.Err() != nil {
		return context.Cause(ctx)
	}
	return nil
}

// meetAtEnds reports whether two lines have a common end, as neighbours have.
func meetAtEnds(a, b *Line) bool {
	return coincident(a.P, b.P) || coincident(a.P, b.Q) || coincident(a.Q, b.P) || coincident(a.Q, b.Q)
}

// coincident reports whether two ends are one point: by tolerance, see coincidence.
func coincident(p, q geom.Point) bool { return p.Dist(q) <= coincidence }

// facing looks for the closest place at which two lines face, by alternating
// projections: from a point of A to the nearest of B and back to the nearest of A.
// The distance never grows, and the limit is a local minimum of the distance or
// where the lines meet. Six starting points take in the ends of both, where straight
// lines are closest, and the middles; parallel lines face at any of them. A minimum
// of two curves that no start leads to is missed.
func (l *Lines) facing(a, b *Line, reach float64) (Facing, bool) {
	if touching(a, b) {
		return Facing{}, false
	}
	s := search{lines: l, best: Facing{A: a, B: b, Gap: reach}}
	for _, start := range startPoints(a, b) {
		s.from(start)
	}
	return s.best, s.found && !s.crossed
}

// search is a search for the closest place at which two lines face.
type search struct {
	lines   *Lines
	best    Facing // the closest so far; before any, Gap is the reach
	found   bool
	crossed bool // the lines come within coincidence of one another
}

// mostSteps bounds the steps from one start. For lines that lean by an angle v each
// step shortens the way to the closest place by cos²(v): at the angle of maxLean
// to 0.67 of it in 40 steps, at 26 degrees to 2·10⁻⁴. Lines that lean less than
// maxLean face wherever the steps stop; for others the ends are starts.
const mostSteps = 40

// from steps across and back until a step is shorter than a tenth of the snap
// tolerance.
func (s *search) from(p geom.Point) {
	for range mostSteps {
		back := s.step(p)
		if s.crossed || back.Dist(p) < geom.SnapTolerance/10 {
			return
		}
		p = back
	}
}

// step projects a point p of A on B and the result back on A, and returns that. The
// place is kept if its gap is below the best so far and the lines face there: the
// step is within maxLean, neither line is about to come nearer beyond an end, and
// there is board or a void between the two.
func (s *search) step(p geom.Point) geom.Point {
	a, b := s.best.A, s.best.B
	tb, _ := b.Nearest(p)
	q := b.At(tb)
	ta, gap := a.Nearest(q)
	back := a.At(ta)
	if gap <= coincidence {
		s.crossed = true
	}
	if gap >= s.best.Gap-geom.Tiny || back.Dist(p) > maxLean*gap || !s.lines.closestAtEnd(a, ta, q, gap) || !s.lines.closestAtEnd(b, tb, back, gap) {
		return back
	}
	if board, void := materialBetween(a, b, ta, tb); board || void {
		s.found = true
		s.best.P, s.best.Q, s.best.Gap, s.best.Board = back, q, gap, board
		s.best.Slant, s.best.ArcLength = obliqueness(a, b, ta, tb), s.lines.arcLength(a, b, ta, tb)
	}
	return back
}

// touching reports whether an end of one line lies on the other, within coincidence
// and no more: lines that are further apart have a gap that can be told.
func touching(a, b *Line) bool {
	on := func(p geom.Point, c *Line) bool {
		_, far := c.Nearest(p)
		return far <= coincidence
	}
	return on(a.P, b) || on(a.Q, b) || on(b.P, a) || on(b.Q, a)
}

// startPoints are the middle and the ends of a, and the points of a nearest to those
// of b.
func startPoints(a, b *Line) [6]geom.Point {
	var out [6]geom.Point
	for i, t := range [...]float64{0.5, 0, 1} {
		out[2*i] = a.At(t)
		s, _ := a.Nearest(b.At(t))
		out[2*i+1] = a.At(s)
	}
	return out
}

// closestAtEnd reports whether the line next to a, if a is left at one of its ends
// (t = 0 or 1), comes no nearer to a point across the gap than nearerBeyond allows.
// Within a line, and at an end with nothing beyond, it is true.
func (l *Lines) closestAtEnd(a *Line, t float64, across geom.Point, gap float64) bool {
	beyond := -1
	switch at := a.At(t); {
	case coincident(at, a.P):
		beyond = a.prev
	case coincident(at, a.Q):
		beyond = a.next
	}
	if beyond < 0 {
		return true
	}
	_, far := l.All[beyond].Nearest(across)
	return far > (1-nearerBeyond)*gap
}

// materialBetween tells what lies between two lines where they face: board where it
// is on the facing side of both, a void between two rims that have their board
// behind. Neither where a rim points at the other line. See side for the tolerance.
func materialBetween(a, b *Line, s, t float64) (board, void bool) {
	across := b.At(t).Sub(a.At(s)).Unit()
	left, right := side(a, s, across), side(b, t, across.Mul(-1))
	switch {
	case a.Role != Rim && b.Role != Rim:
		return true, false
	case a.Role != Rim:
		return right > 0, false
	case b.Role != Rim:
		return left > 0, false
	}
	return left > 0 && right > 0, left < 0 && right < 0
}

// parallelSine is the sine of the angle, 0.57 degrees, within which a direction
// leads along a line.
const parallelSine = 0.01

// side tells to which side of a line a unit direction leads: 1 for its left,
// −1 for its right, 0 along it. The sign of a cross product, by tolerance: both
// vectors come from points within the snap tolerance of where they are meant to be,
// which over a gap of g mm turns the direction by up to 0.002/g; the sign is certain
// above parallelSine for g ≥ 0.2 mm, the width of the finest gap that can be made.
// Where lines face within them, they are square to the direction (a sine above
// 0.99), so the tolerance decides at ends alone.
func side(c *Line, t float64, dir geom.Point) int {
	switch cross := c.Tangent(t).Cross(dir); {
	case cross > parallelSine:
		return 1
	case cross < -parallelSine:
		return -1
	}
	return 0
}

// obliqueness is the sum of the cosines between the way across and either line; see
// Facing.Slant.
func obliqueness(a, b *Line, s, t float64) float64 {
	across := b.At(t).Sub(a.At(s)).Unit()
	return math.Abs(across.Dot(a.Tangent(s))) + math.Abs(across.Dot(b.Tangent(t)))
}

// arcLength is the length in mm along a common stroke from parameter s of a to t of
// b, the shorter way round a closed one; infinite for lines of different strokes.
func (l *Lines) arcLength(a, b *Line, s, t float64) float64 {
	if a.stroke < 0 || a.stroke != b.stroke {
		return math.Inf(1)
	}
	way := math.Abs(a.along(s) - b.along(t))
	if l.strokes[a.stroke].Closed {
		way = math.Min(way, l.lengths[a.stroke]-way)
	}
	return way
}

// along is the length in mm from the start of its stroke to a parameter of the line.
func (l *Line) along(t float64) float64 {
	if t <= 0 {
		return l.from
	}
	return l.from + l.Part(0, t).Length()
}

// Beside is the length of the stretch over which B lies square across from A
// within reach: exact for straight lines, good to a sixty-fourth of A's length
// for others.
func (f Facing) Beside(reach float64) float64 {
	if f.A.Curve.Kind == geom.Line && f.B.Curve.Kind == geom.Line {
		return besideLines(f.A.Curve, f.B.Curve, reach)
	}
	const samples = 64
	n, length := 0, f.A.Length()
	for i := range samples {
		p := f.A.At(f.A.ParamAt(length * (float64(i) + 0.5) / samples))
		if t, far := f.B.Nearest(p); far < reach && t > 0 && t < 1 {
			n++
		}
	}
	return length * float64(n) / samples
}

// besideLines is Beside for straight lines: the length of the overlap of their
// projections on a, as far as the distance to b, affine along it, is below reach.
func besideLines(a, b geom.Curve, reach float64) float64 {
	u := a.Tangent(0)
	s, t := b.P.Sub(a.P).Dot(u), b.Q.Sub(a.P).Dot(u)
	from, to := math.Max(0, math.Min(s, t)), math.Min(a.Length(), math.Max(s, t))
	if from >= to {
		return 0
	}
	_, near := b.Nearest(a.P.Add(u.Mul(from)))
	_, far := b.Nearest(a.P.Add(u.Mul(to)))
	if near > far {
		near, far = far, near
	}
	switch {
	case near >= reach:
		return 0
	case far <= reach:
		return to - from
	}
	return (to - from) * (reach - near) / (far - near)
}
