package scene

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// cover is the part of a face that stands before another one.
type cover struct {
	rings [][]geom.Point
	hull  []geom.Point // convex, round all the two share
	full  bool         // it fills its hull
	area  float64      // of the hull
}

// covers lists what stands before a face and may hide some of it, what may hide
// most first; all reports that one alone hides the whole face. Convex hulls
// decide: they are cheap to lay over each other, and most panels fill theirs.
func (f *face) covers() (out []cover, all bool) {
	for _, g := range f.near {
		c := g.before(f)
		if len(c.rings) == 0 {
			continue
		}
		if c.hides(f.hull) {
			return nil, true
		}
		if c.hull = polygon.Clip(c.hull, f.hull); polygon.Solid(c.hull) {
			c.area = polygon.Area(c.hull)
			if c.full && len(c.hull) < len(c.rings[0]) {
				c.rings = [][]geom.Point{c.hull}
			}
			out = append(out, c)
		}
	}
	slices.SortStableFunc(out, func(a, b cover) int { return cmp.Compare(b.area, a.area) })
	return largest(out), false
}

// hides reports whether the cover surely holds a shape with these corners.
func (c *cover) hides(corners []geom.Point) bool {
	return c.full && polygon.Within(corners, c.hull, geom.SnapTolerance)
}

// largest leaves out covers that lie within an earlier, larger one.
func largest(covers []cover) []cover {
	kept := covers[:0]
	for _, c := range covers {
		if !slices.ContainsFunc(kept, func(k cover) bool { return k.hides(c.hull) }) {
			kept = append(kept, c)
		}
	}
	return kept
}

// before is the part of g that stands before f; its hull is not yet clipped to
// that of f.
func (g *face) before(f *face) cover {
	shared := common(f.box, g.box)
	whole := cover{rings: g.rings, hull: g.hull, full: g.board.convex}
	l := g.over(f, shared)
	if l.flush {
		if l.before {
			return whole
		}
		return cover{}
	}
	switch low, high := l.ahead.rangeIn(shared); {
	case high <= 0:
		return cover{}
	case low >= 0:
		return whole
	}
	part := cover{hull: cutOff(g.hull, l.ahead), full: g.board.convex}
	for _, r := range g.rings {
		if c := cutOff(r, l.ahead); len(c) > 2 {
			part.rings = append(part.rings, c)
		}
	}
	return part
}
