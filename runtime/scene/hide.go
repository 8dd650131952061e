package scene

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/region"
)

// visible is what the other faces leave of a face: its shape less, for each of
// them in turn, the part of that one's shape that stands before it. Those that
// may hide most come first, so that a face behind much soon is gone.
func (s *stage) visible(f *face) [][]geom.Point {
	near := slices.Clone(f.near)
	slices.SortStableFunc(near, func(g, h *face) int {
		return cmp.Compare(area(common(f.box, h.box)), area(common(f.box, g.box)))
	})
	left := chains(f.rings)
	for _, g := range near {
		before := g.before(f)
		if len(before) == 0 {
			continue
		}
		if left = without(left, chains(before)); len(left) == 0 {
			return nil
		}
	}
	return rings(left)
}

func area(b geom.Box) float64 { return b.Width() * b.Height() }

// without takes what one face covers from what is left of another.
func without(left, cover [][]geom.Curve) [][]geom.Curve {
	rest, err := region.Difference(left, cover)
	if err != nil {
		return left // only rings that do not close give one, and these do
	}
	return slices.DeleteFunc(rest, tooSmall)
}

// tooSmall reports whether a ring is too small to be seen.
func tooSmall(ring []geom.Curve) bool {
	area, length := 0.0, 0.0
	for _, c := range ring {
		area += c.P.Sub(ring[0].P).Cross(c.Q.Sub(ring[0].P)) / 2
		length += c.Length()
	}
	area = math.Abs(area)
	return area < speck || area < sliver*length/2
}

// before is the part of g's shape that stands before f.
func (g *face) before(f *face) [][]geom.Point {
	shared := common(f.box, g.box)
	l := g.over(f, shared)
	if l.flush {
		if l.before {
			return g.rings
		}
		return nil
	}
	switch low, high := l.ahead.rangeIn(shared); {
	case high <= 0:
		return nil
	case low >= 0:
		return g.rings
	}
	var out [][]geom.Point
	for _, r := range g.rings {
		if c := cutOff(r, l.ahead); len(c) > 2 {
			out = append(out, c)
		}
	}
	return out
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
		var cs []geom.Curve
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
