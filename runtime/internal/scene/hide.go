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

// visible is the part of a face that no other face hides: its rings less those of
// its occluders, one after the other. Occluders with the largest hulls come first,
// since a face that is hidden altogether is then used up after few subtractions.
// When the context has ended the result is incomplete and must not be used.
func (s *projection) visible(ctx context.Context, f *face) [][]geom.Point {
	covers, all := f.occluders()
	if all {
		return nil
	}
	left, _ := subtractAll(ctx, f.rings, covers)
	return left
}

// subtractAll is what occluders leave of rings, or the error of a context that has
// ended.
func subtractAll(ctx context.Context, left [][]geom.Point, covers []occluder) ([][]geom.Point, error) {
	for _, c := range covers {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		left = c.subtractFrom(left)
	}
	return left, nil
}

// subtractFrom is what an occluder leaves of rings. Rings within it and rings apart
// from it are found first by their corners alone, which leaves few to be subtracted.
//
// Both decisions are by geom.SnapTolerance and filtered: where they say yes, the
// subtraction could move a ring by no more than it snaps anyhow; where they cannot
// tell, the ring goes to the subtraction.
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

// difference is what an occluder leaves of rings with too many sides for subtract,
// or with sides that do not close there; see region.Difference.
func difference(left, cover [][]geom.Point) [][]geom.Point {
	rest, err := region.Difference(chains(left), chains(cover))
	if err != nil {
		return left // an error means rings that do not close; chains closes its rings
	}
	return slices.DeleteFunc(rings(rest), negligible)
}

// negligible reports whether a ring encloses less than minArea, in mm², or is
// narrower than minWidth.
func negligible(ring []geom.Point) bool {
	return math.Abs(polygon.Area(ring)) < minArea || narrower(ring, minWidth)
}

// narrower reports whether the mean width of a ring, twice its area over its length,
// is below a width in mm.
func narrower(ring []geom.Point, width float64) bool {
	return math.Abs(polygon.Area(ring)) < width*polygon.Length(ring)/2
}

// clipPositive is the part of a ring in the half-plane where a is positive
// (Sutherland and Hodgman, Reentrant polygon clipping, 1974). Where several parts
// remain they stay joined along the line a = 0 by a path there and back, which
// encloses nothing; subtract leaves such paths out (see boundary).
//
// The sign of a at a corner is taken as computed, not exactly. The faces are not
// coplanar, so a changes by more than depthTolerance over the box that they share,
// and rounding moves the line a = 0 by at most 10⁻⁸ mm / depthTolerance, a
// millionth of the box: below geom.SnapTolerance for pieces up to a metre.
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

// chains turns rings of points into the rings of line segments that package region
// works on; corners closer than geom.Tiny become one.
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

// rings turns rings of line segments into rings of points.
func rings(chains [][]geom.Curve) [][]geom.Point {
	out := make([][]geom.Point, len(chains))
	for i, c := range chains {
		for _, l := range c {
			out[i] = append(out[i], l.Q)
		}
	}
	return out
}

// occluder is the part of a face that stands before another one, in the picture.
type occluder struct {
	rings [][]geom.Point
	hull  []geom.Point // convex hull of the part, clipped to that of the other face
	full  bool         // the part is convex, so that it fills its hull
	area  float64      // of the hull, mm²
}

// occluders lists what stands before a face and may hide some of it, in order of
// falling area; all reports that one alone hides the whole face. Convex hulls are
// compared: that is linear in their corners, and most panels are convex. Occluders
// that share with the face no more than a strip as wide as the snap tolerance
// (polygon.Solid) cannot hide more than negligible parts and are left out.
func (f *face) occluders() (out []occluder, all bool) {
	covers := coverList{target: f.hull}
	for _, g := range f.near {
		if covers.add(g.occludingPart(f)) {
			return nil, true
		}
	}
	for _, s := range f.solids {
		for _, c := range s.occludersOf(f) {
			if covers.add(c) {
				return nil, true
			}
		}
	}
	return covers.sorted(), false
}

// coverList gathers occluders of a shape with a convex hull, the target.
type coverList struct {
	target []geom.Point
	all    []occluder
}

// add adds an occluder and reports whether it alone hides the target.
func (l *coverList) add(c occluder) bool {
	if len(c.rings) == 0 {
		return false
	}
	if c.hides(l.target) {
		return true
	}
	if c.hull = polygon.Clip(c.hull, l.target); polygon.Solid(c.hull) {
		c.area = polygon.Area(c.hull)
		if c.full && len(c.hull) < len(c.rings[0]) {
			c.rings = [][]geom.Point{c.hull}
		}
		l.all = append(l.all, c)
	}
	return false
}

// sorted is the list in order of falling area, without what an earlier one contains.
func (l *coverList) sorted() []occluder {
	slices.SortStableFunc(l.all, func(a, b occluder) int { return cmp.Compare(b.area, a.area) })
	return dropContained(l.all)
}

// hides reports whether the occluder surely holds a shape with these corners:
// within geom.SnapTolerance, and only if it is convex. False means not known.
func (c *occluder) hides(corners []geom.Point) bool {
	return c.full && polygon.Within(corners, c.hull, geom.SnapTolerance)
}

// dropContained leaves out occluders that lie within an earlier, larger one: what
// they hide is gone by then.
func dropContained(all []occluder) []occluder {
	kept := all[:0]
	for _, c := range all {
		if !slices.ContainsFunc(kept, func(k occluder) bool { return k.hides(c.hull) }) {
			kept = append(kept, c)
		}
	}
	return kept
}

// whole is all of a face as an occluder, its hull not yet clipped.
func (g *face) whole() occluder {
	return occluder{rings: g.rings, hull: g.hull, full: g.plate.convex}
}

// occludingPart is the part of g that stands before f, its hull not yet clipped to
// that of f. Of a facet f and a face whose plane does not pass through f's product all
// of g does or nothing (sideOf). Where the depths order the two alike over all that they share, by the
// sign of the difference at the corners of their common box, it is all or nothing
// of g; else g is clipped at the line where the depths are equal.
func (g *face) occludingPart(f *face) occluder {
	if f.of != nil {
		switch f.of.sideOf(g.plate) {
		case -1:
			return g.whole()
		case 1:
			return occluder{}
		}
	}
	shared := intersection(f.box, g.box)
	l := g.compareDepth(f, shared)
	if l.coplanar {
		if l.inFront {
			return g.whole()
		}
		return occluder{}
	}
	switch low, high := l.difference.rangeIn(shared); {
	case high <= 0:
		return occluder{}
	case low >= 0:
		return g.whole()
	}
	part := occluder{hull: clipPositive(g.hull, l.difference), full: g.plate.convex}
	for _, r := range g.rings {
		if c := clipPositive(r, l.difference); len(c) > 2 {
			part.rings = append(part.rings, c)
		}
	}
	return part
}
