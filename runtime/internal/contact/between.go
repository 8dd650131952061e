package contact

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Between lists the panels that lie between two others which are parallel and
// face each other: over the ground that the two share, those of the spot where
// there are most. Panels between are those of the two panels' own cells, on the
// side where the other lies; ok is false where the two share no ground. A panel
// that stands free between two stacks, more than a caliper from both, does not
// count.
//
// Each panel's board is a set of convex parts, the trapezoids of its cells or its
// hull where nothing lies on it, and the spots compared are the intersections of
// a part of one with a part of the other: k·l clips for k and l parts.
func (p *Posed) Between(a, b int) (panels []int, ok bool) {
	s, t := p.Levels[a].Stack, p.Levels[b].Stack
	if s >= 0 && s == t {
		for _, c := range p.Stacks[s].Cells {
			i, k := slices.Index(c.Panels, a), slices.Index(c.Panels, b)
			if i < 0 || k < 0 {
				continue
			}
			if in := c.Panels[min(i, k)+1 : max(i, k)]; !ok || len(in) > len(panels) {
				panels, ok = in, true
			}
		}
		return panels, ok
	}
	others := p.coversOf(b, a)
	for _, c := range p.coversOf(a, b) {
		for _, d := range others {
			if ok && len(c.panels)+len(d.panels) <= len(panels) || !meet(c.loops, d.loops) {
				continue
			}
			panels, ok = slices.Concat(c.panels, d.panels), true
		}
	}
	return panels, ok
}

// covers is part of a panel's board, as convex loops, and the panels that lie on
// it toward another.
// The loops are counter-clockwise and convex; they may be apart from one another.
type covers struct {
	loops  [][]geom.Point
	panels []int
}

// coversOf lists the parts of panel i's board with what lies on each toward
// panel to, in the frame of whichever of the two was made first.
// A panel in no stack is its hull, which for board that is not convex holds ground
// where it has none. "Toward" is by the centres of the two boxes along the way out
// of the stack: enough for panels that face each other, whose planes are parallel
// and apart.
func (p *Posed) coversOf(i, to int) []covers {
	frame := &p.plates[min(i, to)]
	n := p.Levels[i].Stack
	if n < 0 {
		return []covers{{loops: [][]geom.Point{laid(p.plates[i].body.Hull, p.plates[i].onto(frame))}}}
	}
	s := &p.Stacks[n]
	m := p.plates[s.plane].onto(frame)
	// The way out of the stack leads from the innermost panel to the outermost.
	outward := p.plates[to].box.mid().Sub(p.plates[i].box.mid()).Dot(s.Out) > 0
	var out []covers
	for _, c := range s.Cells {
		k := slices.Index(c.Panels, i)
		if k < 0 {
			continue
		}
		v := covers{panels: c.Panels[k+1:]}
		if outward {
			v.panels = c.Panels[:k]
		}
		for _, t := range c.parts {
			v.loops = append(v.loops, laid(t[:], m))
		}
		out = append(out, v)
	}
	return out
}

// meet reports whether two sets of convex loops have common ground wider than
// geom.SnapTolerance.
// For k and l loops it clips k·l times at most and stops at the first that meets.
func meet(a, b [][]geom.Point) bool {
	return slices.ContainsFunc(a, func(u []geom.Point) bool {
		return slices.ContainsFunc(b, func(v []geom.Point) bool { return polygon.Solid(polygon.Clip(u, v)) })
	})
}
