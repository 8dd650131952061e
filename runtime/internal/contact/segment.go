package contact

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Segment is the stretch between two places in space.
type Segment struct{ P, Q geom.Point3 }

// Length is how long the segment is.
func (s Segment) Length() float64 { return s.P.Dist(s.Q) }

// Distance is how far a place lies from the segment.
func (s Segment) Distance(at geom.Point3) float64 {
	along := s.Q.Sub(s.P)
	t := at.Sub(s.P).Dot(along) / max(along.Dot(along), geom.Tiny)
	return at.Dist(s.P.Add(along.Mul(min(max(t, 0), 1))))
}

// Beside is the length of the stretch of s over which o runs within d of it:
// that of o's shadow on s, or 0 where an end of the shadow is farther off.
func (s Segment) Beside(o Segment, d float64) float64 {
	length := s.Length()
	way := s.Q.Sub(s.P).Mul(1 / length)
	from, to := way.Dot(o.P.Sub(s.P)), way.Dot(o.Q.Sub(s.P))
	from, to = max(0, min(from, to)), min(length, max(from, to))
	if to <= from || o.Distance(s.P.Add(way.Mul(from))) > d || o.Distance(s.P.Add(way.Mul(to))) > d {
		return 0
	}
	return to - from
}

// NearSegments calls visit with the numbers of every two segments whose boxes
// come within d of each other, the lesser first, in rising order. It ends with
// the cause of the context's end.
func NearSegments(ctx context.Context, segments []Segment, d float64, visit func(i, j int)) error {
	boxes := make([]box3, len(segments))
	for i, s := range segments {
		boxes[i] = emptyBox3().add(s.P).add(s.Q)
	}
	tree := newBoxTree(boxes, func(int) bool { return true })
	return tree.pairs(ctx, d, func(i, j int) error { visit(i, j); return nil })
}
