package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Sizes are the sizes of a folded piece along the axes of its root panel, mm.
type Sizes struct {
	Outside [3]float64 // over all, the thickness of the board counted
	// Inside is from surface to surface through the middle of the piece; +Inf
	// along an axis on which it is open to either side.
	Inside [3]float64
}

// Sizes measures the piece in the pose. Panels without a place are left out; ok
// is false when there is no other.
func (p *Posed) Sizes() (s Sizes, ok bool) {
	box := emptyBox3()
	for i := range p.plates {
		if plate := &p.plates[i]; plate.ok {
			box = box.union(plate.thick(p.caliper / 2))
			ok = true
		}
	}
	if !ok {
		return s, false
	}
	// Inside sizes see the same surfaces as a product does.
	r := &room{Posed: p, on: -1}
	r.gather()
	mid := box.mid()
	s.Outside = [3]float64{box.max.X - box.min.X, box.max.Y - box.min.Y, box.max.Z - box.min.Z}
	for k, axis := range [3]geom.Point3{{X: 1}, {Y: 1}, {Z: 1}} {
		s.Inside[k] = r.ray(mid, axis) + r.ray(mid, axis.Mul(-1))
	}
	return s, true
}

// thick is the upright box round a plate that is half thick to either side.
// The hull's corners are enough: a box round them holds all between.
func (s *plate) thick(half float64) box3 {
	out := emptyBox3()
	for _, q := range s.hull {
		out = out.add(q.Add(s.normal.Mul(half))).add(q.Sub(s.normal.Mul(half)))
	}
	return out
}

// ray is how far it is from a place, along a unit direction, to the next surface
// of board; +Inf when there is none, and 0 from within board.
func (r *room) ray(from, dir geom.Point3) float64 {
	least := math.Inf(1)
	r.surfacesFrom(from, func(s *surface) bool {
		speed := dir.Dot(s.normal)
		if math.Abs(speed) < sidelong {
			return true
		}
		// The plane (x − t)·n = 0 is met at −h/(d·n), h being the height of the place over it; its
		// surface lies off the plane by off, along the normal.
		way := -s.height(from) / speed
		if way > 0 && polygon.Holds(s.body.Loops, s.local(from.Add(dir.Mul(way))).Plane()) {
			least = min(least, max(0, way-s.off/math.Abs(speed)))
		}
		return true
	})
	return least
}
