package contact

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Shell is a piece in a pose as what moves in it or goes through it meets it:
// the outlines of its panels filled in, since a window in a wall stops no flap.
// Outlines have no thickness here; Cast takes half a caliper off.
type Shell struct {
	Solids []Solid // by panel

	posed *Posed
	boxes []box3
	tree  *boxTree
}

// Solid is a panel's outline where the pose puts it. OK is false for a panel
// without a place.
type Solid struct {
	OK     bool
	Loop   []geom.Point // the outline in the panel's frame, as chords within Flatten of it
	Frame  geom.RigidTransform
	Back   geom.RigidTransform // from the world into the panel's frame
	Normal geom.Point3         // outward
}

// Shell fills in the outlines of the pose.
func (p *Posed) Shell() *Shell {
	s := &Shell{posed: p, Solids: make([]Solid, len(p.plates)), boxes: make([]box3, len(p.plates))}
	for i, at := range p.Pose.Place {
		s.boxes[i] = emptyBox3()
		if !at.OK {
			continue
		}
		o := Solid{
			OK: true, Loop: p.Piece.Panels[i].Outline.Flatten(Flatten),
			Frame: at.RigidTransform, Back: at.Inverse(), Normal: at.Normal(),
		}
		for _, q := range o.Loop {
			s.boxes[i] = s.boxes[i].add(o.Frame.Apply(q.Space()))
		}
		s.Solids[i] = o
	}
	s.tree = newBoxTree(s.boxes, func(i int) bool { return s.Solids[i].OK })
	return s
}

// Of is the solid of a panel.
func (s *Shell) Of(p *model.Panel) *Solid { return &s.Solids[s.posed.index[p]] }

// Box is the upright box round all panels, as two corners; they are infinite
// when no panel has a place.
func (s *Shell) Box() (least, most geom.Point3) {
	all := emptyBox3()
	for i := range s.Solids {
		if s.Solids[i].OK {
			all = all.union(s.boxes[i])
		}
	}
	return all.min, all.max
}

// Near lists, in order of making, the panels whose boxes come within d of
// another's, itself left out.
func (s *Shell) Near(p *model.Panel, d float64) []int {
	i := s.posed.index[p]
	return slices.DeleteFunc(s.tree.near(nil, s.boxes[i], d), func(k int) bool { return k == i })
}

// Height is how far a place lies outside the panel's plane, negative on the
// inside.
func (o *Solid) Height(at geom.Point3) float64 { return at.Sub(o.Frame.T).Dot(o.Normal) }

// Hit is the first panel in a way.
type Hit struct {
	Panel int
	Dist  float64 // to it, mm
	At    geom.Point3
}

// grazing is the cosine between a way and a panel's normal under which the way
// runs along the panel rather than into it: it meets it under 12 degrees.
const grazing = 0.2

// Cast follows a way through space to the surface of the first of some panels
// that it runs into, leaving out those that it runs along; ok is false when it
// leads out.
func (s *Shell) Cast(from, way geom.Point3, among []int) (h Hit, ok bool) {
	h, ok = s.Look(from, way, among, grazing)
	if ok {
		h.Dist -= s.posed.caliper / 2 / math.Abs(way.Dot(s.Solids[h.Panel].Normal))
	}
	return h, ok
}

// Look finds the first of some panels whose outline lies in a way, but those
// seen under a cosine of steep or less.
// way is a unit vector, steep the cosine between it and a panel's normal. A place in a
// panel's outline meets that panel at distance 0.
func (s *Shell) Look(from, way geom.Point3, among []int, steep float64) (h Hit, ok bool) {
	h.Dist = math.Inf(1)
	for _, i := range among {
		o := &s.Solids[i]
		// Distance along the way to the plane is −h over the slope; behind the place, or beyond the
		// best so far, it does not count.
		slope := way.Dot(o.Normal)
		if !o.OK || math.Abs(slope) <= steep {
			continue
		}
		d := -o.Height(from) / slope
		if d < 0 || d >= h.Dist {
			continue
		}
		at := from.Add(way.Mul(d))
		if polygon.Holds([][]geom.Point{o.Loop}, o.Back.Apply(at).Plane()) {
			h, ok = Hit{i, d, at}, true
		}
	}
	return h, ok
}

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
