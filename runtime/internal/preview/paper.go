package preview

import (
	"cmp"
	"iter"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// placing carries millimetres of the design onto the paper, where y runs down.
type placing struct {
	scale  float64
	origin geom.Point // where the design's (0, 0) lies on the paper
}

// placeAt puts corner, the upper left one of a box of the design, at p.
func placeAt(scale float64, box geom.Box, p geom.Point) placing {
	return placing{scale, geom.Pt(p.X-float64(box.Min.X*scale), p.Y+float64(box.Max.Y*scale))}
}

// point is the paper's point for one of the design: scaled, y reversed, shifted.
func (m placing) point(p geom.Point) geom.Point {
	return geom.Pt(m.origin.X+float64(m.scale*p.X), m.origin.Y-float64(m.scale*p.Y))
}

// curve keeps a curve's kind: the mirror in y turns an arc's sense round.
func (m placing) curve(c geom.Curve) geom.Curve {
	c.P, c.Q = m.point(c.P), m.point(c.Q)
	if c.Kind != geom.Line {
		c.C = m.point(c.C)
	}
	if c.Kind == geom.Cubic {
		c.D = m.point(c.D)
	}
	c.R *= m.scale
	c.Sweep = c.Sweep.Neg()
	return c
}

// curves carries curves one by one.
func (m placing) curves(cs []geom.Curve) []geom.Curve {
	out := make([]geom.Curve, len(cs))
	for i, c := range cs {
		out[i] = m.curve(c)
	}
	return out
}

// runs carries runs of points.
func (m placing) runs(rs [][]geom.Point) [][]geom.Point {
	n := 0
	for _, r := range rs {
		n += len(r)
	}
	all, out := make([]geom.Point, 0, n), make([][]geom.Point, len(rs))
	for i, r := range rs {
		from := len(all)
		for _, p := range r {
			all = append(all, m.point(p))
		}
		out[i] = all[from:len(all):len(all)]
	}
	return out
}

// box is the paper's box for one of the design; its upper left is the corner
// (Min.X, Max.Y) of the other.
func (m placing) box(b geom.Box) geom.Box {
	return geom.BoxOf(m.point(b.Min), m.point(b.Max))
}

// paperRegion is one panel's board on the paper.
type paperRegion struct {
	rings  []blank.Ring
	box    geom.Box
	centre geom.Point      // centroid of the board
	glue   [2][]blank.Ring // what carries glue, by face
}

// newPaperRegion carries a region and what of it is glued onto the paper.
func newPaperRegion(m placing, s blank.Region, glue [2][]blank.Ring) paperRegion {
	p := paperRegion{box: geom.EmptyBox()}
	for f, rings := range glue {
		for _, r := range rings {
			p.glue[f] = append(p.glue[f], m.curves(r))
		}
	}
	for _, r := range s.Rings {
		ring := m.curves(r)
		p.rings = append(p.rings, ring)
		for _, c := range ring {
			p.box = p.box.Union(c.Bounds())
		}
	}
	p.centre = centroid(p.rings, p.box)
	return p
}

// centroid is the centre of area of the rings, of their flattened outlines;
// the middle of the box where there is no area.
func centroid(rings []blank.Ring, box geom.Box) geom.Point {
	area, sum, from := 0.0, geom.Point{}, box.Mid()
	for _, r := range rings {
		for _, c := range r {
			prev := c.P.Sub(from)
			for _, p := range c.Flatten(nil, flatness) {
				p = p.Sub(from)
				k := prev.Cross(p)
				area += k
				sum = sum.Add(prev.Add(p).Mul(k / 3))
				prev = p
			}
		}
	}
	if math.Abs(area) < geom.Tiny {
		return from
	}
	return from.Add(sum.Mul(1 / area))
}

// isGlued reports whether any of it carries glue.
func (s paperRegion) isGlued() bool { return len(s.glue[outsideFace])+len(s.glue[insideFace]) > 0 }

// fitsBox rules out text that is larger than the panel's box.
func (s paperRegion) fitsBox(l label) bool {
	b := l.tile().grow(clearance).bounds()
	return b.Width() < s.box.Width() && b.Height() < s.box.Height()
}

// boxContains reports whether the tile's bounding box lies inside the region's, which
// is quick and necessary for the tile to lie on board.
func (s paperRegion) boxContains(t tile) bool {
	b := t.bounds()
	return b.Min.X > s.box.Min.X && b.Max.X < s.box.Max.X && b.Min.Y > s.box.Min.Y && b.Max.Y < s.box.Max.Y
}

// contains reports whether p lies on board, not in a window.
func (s paperRegion) contains(p geom.Point) bool { return ringsContain(s.rings, p) }

// ringsContain reports whether rings enclose a point.
func ringsContain(rings []blank.Ring, p geom.Point) bool {
	turns := 0
	for _, r := range rings {
		turns += geom.Winding(r, p)
	}
	return turns != 0
}

// sideways is the weight of a horizontal step against a vertical one in the distance
// from the centre by which grid points are ordered.
const sideways = 1.7

// spotGrid is how finely a panel is searched for room, each way.
const spotGrid = 14

// spots gives places to try in a panel: centroid, middle of the box, and then grid
// points in order of their distance from the centroid, horizontal steps counting
// sideways times. The grid is computed once, and only when the first two do not fit.
func (s paperRegion) spots() iter.Seq[geom.Point] {
	var grid []geom.Point
	return func(yield func(geom.Point) bool) {
		if !yield(s.centre) || !yield(s.box.Mid()) {
			return
		}
		if grid == nil {
			grid = s.grid()
		}
		for _, p := range grid {
			if !yield(p) {
				return
			}
		}
	}
}

// grid lists points of a grid and of the lines through the centre, nearest
// first.
func (s paperRegion) grid() []geom.Point {
	var pts []geom.Point
	for i := 1; i < spotGrid; i++ {
		x := s.box.Min.X + float64(s.box.Width()*float64(i)/spotGrid)
		for j := 1; j < spotGrid; j++ {
			pts = append(pts, geom.Pt(x, s.box.Min.Y+float64(s.box.Height()*float64(j)/spotGrid)))
		}
		pts = append(pts, geom.Pt(x, s.centre.Y),
			geom.Pt(s.centre.X, s.box.Min.Y+float64(s.box.Height()*float64(i)/spotGrid)))
	}
	off := func(p geom.Point) float64 {
		d := p.Sub(s.centre)
		return float64(sideways*sideways*d.X*d.X) + float64(d.Y*d.Y)
	}
	slices.SortStableFunc(pts, func(p, q geom.Point) int { return cmp.Compare(off(p), off(q)) })
	return pts
}
