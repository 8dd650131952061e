package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Spot is where a point of the board shows in the picture; the point is given in
// the blank frame, in mm, the result in the picture plane. Where boards of several
// panels meet the point is taken to lie on the named panel. hidden reports that
// board stands before it; ok is false for a point on a panel that is not in the
// picture.
func (p *Picture) Spot(panel string, at geom.Point) (spot geom.Point, hidden, ok bool) {
	i := p.projection.boardAt(panel, at)
	for _, b := range p.projection.plates {
		if b.index == i {
			w := b.world(at)
			return p.View.Project(w), p.projection.hides(w, b), true
		}
	}
	return geom.Point{}, false, false
}

// boardAt is the index in the piece of the panel whose board in the flat blank
// contains a point or else comes nearest to it. The named panel is preferred where
// it comes as near as any to within geom.SnapTolerance, by which a common edge of
// two panels may differ; −1 when there is no board at all.
func (s *projection) boardAt(panel string, at geom.Point) int {
	best, least := -1, math.Inf(1)
	for i, sh := range s.in.Blank.Regions {
		d := distance(sh, at)
		if sh.Panel.Name == panel {
			d -= geom.SnapTolerance
		}
		if d < least {
			best, least = i, d
		}
	}
	return best
}

// distance is the distance in mm of a point of the blank frame from a region, 0
// inside. The winding number decides which is inside; on the boundary, where it
// could be either, the distance to the nearest curve is 0 to rounding all the same.
func distance(sh blank.Region, at geom.Point) float64 {
	least, turns := math.Inf(1), 0
	for _, r := range sh.Rings {
		turns += geom.Winding(r, at)
		for _, c := range r {
			_, d := c.Nearest(at)
			least = min(least, d)
		}
	}
	if turns > 0 {
		return 0
	}
	return least
}

// Hidden reports whether board stands before a point of the world.
func (p *Picture) Hidden(at geom.Point3) bool { return p.projection.hides(at, nil) }

// hides reports whether any face, a product's too, but that of its own plate, which
// may be nil, stands before a point of the world: by more than depthTolerance, measured square to the
// face, or coplanar with the own plate and in front by the order of layers. Whether
// the face contains the point in the picture is exact (polygon.Holds).
func (s *projection) hides(at geom.Point3, own *plate) bool {
	q, depth := s.view.Project(at), s.view.depth(at)
	for _, f := range append(s.facetsBut(nil), s.faces...) {
		if f.plate == own || !f.box.Contains(q) || !polygon.Holds(f.rings, q) {
			continue
		}
		d := (f.depth.at(q) - depth) * math.Abs(f.facing)
		if d > depthTolerance {
			return true
		}
		if own != nil && f.plate.panel != nil && d > -depthTolerance && s.seen[own.index] != nil {
			g := s.seen[own.index]
			if l := f.compareDepth(g, intersection(f.box, g.box)); l.coplanar && l.inFront {
				return true
			}
		}
	}
	return false
}
