package scene

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// visible is what the other faces leave of a face: its shape less the covers,
// one after the other. Those that may hide most come first, so that a face
// behind much soon is gone. When the context ends the answer is of no use.
func (s *projection) visible(ctx context.Context, f *face) [][]geom.Point {
	covers, all := f.occluders()
	if all {
		return nil
	}
	left := f.rings
	for _, c := range covers {
		if ctx.Err() != nil {
			return nil
		}
		left = c.subtractFrom(left)
	}
	return left
}

// subtractFrom is what a cover leaves. Rings that it hides or does not reach are
// told apart first, as mostly few are left to be cut.
func (c *occluder) subtractFrom(left [][]geom.Point) [][]geom.Point {
	var kept, cut [][]geom.Point
	for _, r := range left {
		switch {
		case c.hides(r):
		case polygon.Apart(r, c.hull, geom.SnapTolerance):
			kept = append(kept, r)
		default:
			cut = append(cut, r)
		}
	}
	if len(cut) == 0 {
		return kept
	}
	if rest, ok := subtract(cut, c.rings); ok {
		return append(kept, slices.DeleteFunc(rest, negligible)...)
	}
	return append(kept, difference(cut, c.rings)...)
}

// difference takes what one face covers from what is left of another.
func difference(left, cover [][]geom.Point) [][]geom.Point {
	rest, err := region.Difference(chains(left), chains(cover))
	if err != nil {
		return left // only rings that do not close give one, and these do
	}
	return slices.DeleteFunc(rings(rest), negligible)
}

// negligible reports whether a ring is too small or too thin to be seen.
func negligible(ring []geom.Point) bool {
	area := math.Abs(polygon.Area(ring))
	return area < minArea || area < minWidth*polygon.Length(ring)/2
}

// clipPositive is the part of a ring where a is positive (Sutherland and Hodgman,
// Reentrant polygon clipping, 1974). Where the ring falls apart its parts stay
// joined by a path there and back, which encloses nothing.
func clipPositive(ring []geom.Point, a affine) []geom.Point {
	var out []geom.Point
	p := ring[len(ring)-1]
	u := a.at(p)
	for _, q := range ring {
		w := a.at(q)
		if (u > 0) != (w > 0) {
			out = append(out, p.Lerp(q, u/(u-w)))
		}
		if w > 0 {
			out = append(out, q)
		}
		p, u = q, w
	}
	return out
}

// chains turns rings of points into rings of lines.
func chains(rings [][]geom.Point) [][]geom.Curve {
	out := make([][]geom.Curve, 0, len(rings))
	for _, r := range rings {
		cs := make([]geom.Curve, 0, len(r))
		p := r[len(r)-1]
		for _, q := range r {
			if p.Dist(q) > geom.Tiny {
				cs = append(cs, geom.LineFrom(p, q))
				p = q
			}
		}
		out = append(out, cs)
	}
	return out
}

// rings turns rings of lines into rings of points.
func rings(chains [][]geom.Curve) [][]geom.Point {
	out := make([][]geom.Point, len(chains))
	for i, c := range chains {
		for _, l := range c {
			out[i] = append(out[i], l.Q)
		}
	}
	return out
}

// occluder is the part of a face that stands before another one.
type occluder struct {
	rings [][]geom.Point
	hull  []geom.Point // convex, round all the two share
	full  bool         // it fills its hull
	area  float64      // of the hull
}

// occluders lists what stands before a face and may hide some of it, what may hide
// most first; all reports that one alone hides the whole face. Convex hulls
// decide: they are cheap to lay over each other, and most panels fill theirs.
func (f *face) occluders() (out []occluder, all bool) {
	for _, g := range f.near {
		c := g.occludingPart(f)
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
	slices.SortStableFunc(out, func(a, b occluder) int { return cmp.Compare(b.area, a.area) })
	return dropContained(out), false
}

// hides reports whether the cover surely holds a shape with these corners.
func (c *occluder) hides(corners []geom.Point) bool {
	return c.full && polygon.Within(corners, c.hull, geom.SnapTolerance)
}

// dropContained leaves out covers that lie within an earlier, larger one.
func dropContained(covers []occluder) []occluder {
	kept := covers[:0]
	for _, c := range covers {
		if !slices.ContainsFunc(kept, func(k occluder) bool { return k.hides(c.hull) }) {
			kept = append(kept, c)
		}
	}
	return kept
}

// occludingPart is the part of g that stands before f; its hull is not yet clipped to
// that of f.
func (g *face) occludingPart(f *face) occluder {
	shared := intersection(f.box, g.box)
	whole := occluder{rings: g.rings, hull: g.hull, full: g.plate.convex}
	l := g.compareDepth(f, shared)
	if l.coplanar {
		if l.inFront {
			return whole
		}
		return occluder{}
	}
	switch low, high := l.difference.rangeIn(shared); {
	case high <= 0:
		return occluder{}
	case low >= 0:
		return whole
	}
	part := occluder{hull: clipPositive(g.hull, l.difference), full: g.plate.convex}
	for _, r := range g.rings {
		if c := clipPositive(r, l.difference); len(c) > 2 {
			part.rings = append(part.rings, c)
		}
	}
	return part
}
