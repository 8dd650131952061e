package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// parting is the shortest move of b, as length and unit direction, that parts
// the hulls of two bodies that are not parallel; a length of Shallowest or less
// means that they hardly touch or are apart.
//
// The places b may be moved to while it still meets a form a convex solid, the
// Minkowski sum of a and the mirrored b, and the move leads to the nearest of
// its faces. Those lie square to either normal, or along an edge of each: such
// a face exists where the direction square to both edges leads out over a's
// edge and in over b's, and then the edges themselves tell its distance.
func parting(a, b *plate) (depth float64, part geom.Point3) {
	depth = math.Inf(1)
	try := func(d float64, way geom.Point3) {
		if d < depth {
			depth, part = d, way
		}
	}
	lo, hi := a.heights(b.hull)
	try(-lo, a.normal)
	try(hi, a.normal.Mul(-1))
	lo, hi = b.heights(a.hull)
	try(hi, b.normal)
	try(-lo, b.normal.Mul(-1))
	if depth <= Shallowest {
		return depth, part
	}
	for _, e := range a.sides {
		for _, f := range b.sides {
			way := e.dir.Cross(f.dir)
			size := way.Len()
			if size < alike {
				continue
			}
			if way = way.Mul(1 / size); way.Dot(e.out) < 0 {
				way = way.Mul(-1)
			}
			if way.Dot(f.out) <= 0 {
				try(way.Dot(e.at.Sub(f.at)), way)
			}
		}
	}
	return depth, part
}

// alike is the sine of the angle under which two edges make no face of their
// own: the faces beside it are within this share of a panel's size of it.
const alike = 1e-7
