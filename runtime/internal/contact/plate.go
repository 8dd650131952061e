package contact

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
)

// plate is a body where a pose puts it.
// hull and sides are in the world, in the order of body.Hull: counter-clockwise seen
// from the outside. A plate that is not ok has frame and body only.
type plate struct {
	body   *Body
	frame  geom.RigidTransform // panel frame to world
	back   geom.RigidTransform // and home
	ok     bool                // it has board and a place
	normal geom.Point3         // outward
	hull   []geom.Point3
	sides  []side // of the hull
	box    box3
}

// newPlate places a body; ok is false for one without board, or in a pose that gives it no place.
func newPlate(b *Body, at fold.Placement) plate {
	s := plate{body: b, frame: at.RigidTransform, ok: at.OK && len(b.Hull) > 2}
	if !s.ok {
		return s
	}
	s.back, s.normal = s.frame.Inverse(), s.frame.Normal()
	s.hull = make([]geom.Point3, len(b.Hull))
	s.box = emptyBox3()
	for i, p := range b.Hull {
		s.hull[i] = s.frame.Apply(p.Space())
		s.box = s.box.add(s.hull[i])
	}
	s.sides = make([]side, len(s.hull))
	for i, p := range s.hull {
		dir := s.hull[(i+1)%len(s.hull)].Sub(p).Unit()
		s.sides[i] = side{p, dir, dir.Cross(s.normal)}
	}
	return s
}

// side is an edge of a hull in the world: where it begins, its direction, board
// on its left, and the way out over it.
type side struct{ at, dir, out geom.Point3 }

// local brings a place of the world into the panel's frame.
func (s *plate) local(at geom.Point3) geom.Point3 { return s.back.Apply(at) }

// world brings a point of the panel into the world.
func (s *plate) world(p geom.Point) geom.Point3 { return s.frame.Apply(p.Space()) }

// height is how far a place lies outside the panel's plane, negative on the
// inside.
func (s *plate) height(at geom.Point3) float64 { return at.Sub(s.frame.T).Dot(s.normal) }

// heights is the range of height over some places.
func (s *plate) heights(places []geom.Point3) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range places {
		h := s.height(p)
		lo, hi = min(lo, h), max(hi, h)
	}
	return lo, hi
}

// onto carries s's frame into o's.
func (s *plate) onto(o *plate) geom.RigidTransform { return s.frame.Then(o.back) }

// coincides reports whether two boards lie in the same place, corner on corner,
// whichever way they face.
// Distances are compared with coincidence, 1e-6 mm. Loops have to come in the same
// order in both, so some boards that coincide are said not to: that costs time only.
func (s *plate) coincides(o *plate) bool {
	if len(s.body.Loops) != len(o.body.Loops) {
		return false
	}
	// Turned over, the other loop runs the other way round.
	turned := s.normal.Dot(o.normal) < 0
	for k, loop := range s.body.Loops {
		other := o.body.Loops[k]
		n := len(loop)
		if len(other) != n {
			return false
		}
		start := s.world(loop[0])
		// Loops are the same from some corner on; distinct corners are farther apart than
		// coincidence.
		from := slices.IndexFunc(other, func(q geom.Point) bool { return o.world(q).Dist(start) <= coincidence })
		if from < 0 {
			return false
		}
		for i, q := range loop {
			at := (from + i) % n
			if turned {
				at = (from - i + n) % n
			}
			if s.world(q).Dist(o.world(other[at])) > coincidence {
				return false
			}
		}
	}
	return true
}
