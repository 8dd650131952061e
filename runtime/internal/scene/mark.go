package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Spot is where a place on the board shows in the picture, the place given in
// the blank frame. Where boards of several panels meet it is taken to lie on the
// named panel. hidden reports that board stands before it; ok is false for a
// place on a panel that is not in the picture.
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

// boardAt is the place in the piece of the panel whose board in the flat blank
// holds a point, or else comes nearest to it; the named panel, if it does so to
// within the snap tolerance; −1 when there is no board at all.
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

// distance is how far a point of the blank frame lies from a sheet's board, 0
// on it.
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

// Hidden reports whether board stands before a place in the world.
func (p *Picture) Hidden(at geom.Point3) bool { return p.projection.hides(at, nil) }

// hides reports whether any face but the place's own stands before it.
func (s *projection) hides(at geom.Point3, own *plate) bool {
	q, depth := s.view.Project(at), s.view.depth(at)
	for _, f := range s.faces {
		if f.plate == own || !f.box.Contains(q) || !polygon.Holds(f.rings, q) {
			continue
		}
		d := (f.depth.at(q) - depth) * math.Abs(f.facing)
		if d > depthTolerance {
			return true
		}
		if own != nil && d > -depthTolerance && s.seen[own.index] != nil {
			g := s.seen[own.index]
			if l := f.compareDepth(g, intersection(f.box, g.box)); l.coplanar && l.inFront {
				return true
			}
		}
	}
	return false
}
