package geom

import "math"

// Box is an upright rectangle, empty when Min exceeds Max on either axis.
type Box struct{ Min, Max Point }

// EmptyBox holds nothing; adding to it gives what was added.
func EmptyBox() Box {
	inf := math.Inf(1)
	return Box{Point{inf, inf}, Point{-inf, -inf}}
}

// BoxOf is the smallest box round the points.
func BoxOf(pts ...Point) Box {
	b := EmptyBox()
	for _, p := range pts {
		b = b.Add(p)
	}
	return b
}

// Add grows b to hold p.
func (b Box) Add(p Point) Box {
	return Box{
		Point{min(b.Min.X, p.X), min(b.Min.Y, p.Y)},
		Point{max(b.Max.X, p.X), max(b.Max.Y, p.Y)},
	}
}

// Union is the smallest box round both.
func (b Box) Union(c Box) Box {
	return Box{
		Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)},
		Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)},
	}
}

// Grow moves every side outward by d.
func (b Box) Grow(d float64) Box {
	d = float64(d) // a product is rounded before it is added; see Point.Dot
	return Box{Point{b.Min.X - d, b.Min.Y - d}, Point{b.Max.X + d, b.Max.Y + d}}
}

// Empty reports whether b holds no point.
func (b Box) Empty() bool { return b.Min.X > b.Max.X || b.Min.Y > b.Max.Y }

// Intersects reports whether the two boxes share a point.
// Exact: it only compares, and the rim belongs to the box. EmptyBox meets no
// finite box; of other boxes with Min beyond Max that is not guaranteed.
func (b Box) Intersects(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Contains reports whether p lies in b, its rim included.
// Exact: it only compares.
func (b Box) Contains(p Point) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

// Width is the extent along x.
func (b Box) Width() float64 { return b.Max.X - b.Min.X }

// Height is the extent along y.
func (b Box) Height() float64 { return b.Max.Y - b.Min.Y }

// Mid is the centre of b.
func (b Box) Mid() Point { return b.Min.Lerp(b.Max, 0.5) }
