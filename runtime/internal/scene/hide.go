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
func (s *stage) visible(ctx context.Context, f *face) [][]geom.Point {
	covers, all := f.covers()
	if all {
		return nil
	}
	left := f.rings
	for _, c := range covers {
		if ctx.Err() != nil {
			return nil
		}
		left = c.takenFrom(left)
	}
	return left
}

// takenFrom is what a cover leaves. Rings that it hides or does not reach are
// told apart first, as mostly few are left to be cut.
func (c *cover) takenFrom(left [][]geom.Point) [][]geom.Point {
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
		return append(kept, slices.DeleteFunc(rest, tiny)...)
	}
	return append(kept, without(cut, c.rings)...)
}

// without takes what one face covers from what is left of another.
func without(left, cover [][]geom.Point) [][]geom.Point {
	rest, err := region.Difference(chains(left), chains(cover))
	if err != nil {
		return left // only rings that do not close give one, and these do
	}
	return slices.DeleteFunc(rings(rest), tiny)
}

// tiny reports whether a ring is too small or too thin to be seen.
func tiny(ring []geom.Point) bool {
	area := math.Abs(polygon.Area(ring))
	return area < speck || area < sliver*polygon.Length(ring)/2
}

// cutOff is the part of a ring where a is positive (Sutherland and Hodgman,
// Reentrant polygon clipping, 1974). Where the ring falls apart its parts stay
// joined by a path there and back, which encloses nothing.
func cutOff(ring []geom.Point, a affine) []geom.Point {
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
