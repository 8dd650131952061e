package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Spot is where a place on a panel's board shows in the picture, the place
// given in the blank frame. hidden reports that board stands before it; ok is
// false for a panel that is not in the picture.
func (p *Picture) Spot(panel *model.Panel, at geom.Point) (spot geom.Point, hidden, ok bool) {
	for _, b := range p.stage.boards {
		if b.panel == panel {
			w := b.world(at)
			return p.View.Project(w), p.stage.hides(w, b), true
		}
	}
	return geom.Point{}, false, false
}

// Hidden reports whether board stands before a place in the world.
func (p *Picture) Hidden(at geom.Point3) bool { return p.stage.hides(at, nil) }

// hides reports whether any face but the place's own stands before it.
func (s *stage) hides(at geom.Point3, own *sheet) bool {
	q, depth := s.view.Project(at), s.view.depth(at)
	for _, f := range s.faces {
		if f.board == own || !f.box.Holds(q) || !holds(f.rings, q) {
			continue
		}
		d := (f.depth.at(q) - depth) * math.Abs(f.facing)
		if d > flush {
			return true
		}
		if own != nil && d > -flush && s.seen[own.index] != nil {
			g := s.seen[own.index]
			if l := f.over(g, common(f.box, g.box)); l.flush && l.before {
				return true
			}
		}
	}
	return false
}
