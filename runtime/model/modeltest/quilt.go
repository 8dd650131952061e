package modeltest

import (
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/geom"
)

// quiltPitch is the distance in mm between the corners of a quilt.
const quiltPitch = 40.0

// Quilt is a random hinge tree cut from a quilt of four-sided patches whose
// common edges are lines, arcs and cubic curves, so that neighbours touch
// along whole edges whether a hinge joins them or not.
func Quilt(rng *rand.Rand, n int, m geom.Isometry) *Known {
	size := int(math.Ceil(math.Sqrt(float64(n)))) + 2
	q := &quilt{rng: rng, size: size}
	q.corners()
	across := q.edges(0, 1) // along +x, below the patch of the same place
	up := q.edges(1, 0)     // along +y, to the left of it
	patches := make([]patch, 0, size*size)
	for r := range size {
		for c := range size {
			outline := Closed(across[r][c], up[r][c+1], across[r+1][c].Reverse(), up[r][c].Reverse())
			patches = append(patches, patch{outline, q.around(r, c, outline)})
		}
	}
	return grow(rng, patches, n, m)
}

// quilt is a square of patches under way, rows upward and columns rightward.
type quilt struct {
	rng    *rand.Rand
	size   int
	corner [][]geom.Point
}

// corners are a square lattice, each shaken by up to a tenth of the pitch.
func (q *quilt) corners() {
	for r := range q.size + 1 {
		var row []geom.Point
		for c := range q.size + 1 {
			shake := geom.Pt(q.rng.Float64()-0.5, q.rng.Float64()-0.5).Mul(quiltPitch / 5)
			row = append(row, geom.Pt(float64(c), float64(r)).Mul(quiltPitch).Add(shake))
		}
		q.corner = append(q.corner, row)
	}
}

// edges are the curves from each corner to the one dr rows up and dc columns
// to the right.
func (q *quilt) edges(dr, dc int) [][]geom.Curve {
	var out [][]geom.Curve
	for r := range q.size + 1 - dr {
		var row []geom.Curve
		for c := range q.size + 1 - dc {
			row = append(row, q.edge(q.corner[r][c], q.corner[r+dr][c+dc]))
		}
		out = append(out, row)
	}
	return out
}

// edge is a random curve from a to b that strays from its chord by less than
// an eighth of it, so that no two edges of a quilt meet but at corners.
func (q *quilt) edge(a, b geom.Point) geom.Curve {
	side := b.Sub(a).Left()
	stray := func() geom.Point { return side.Mul((q.rng.Float64() - 0.5) / 4) }
	switch q.rng.Intn(3) {
	case 0:
		if c, err := geom.ArcThrough(a, a.Lerp(b, 0.5).Add(stray()), b); err == nil {
			return c
		}
	case 1:
		return geom.CubicFrom(a, a.Lerp(b, 0.3).Add(stray()), a.Lerp(b, 0.7).Add(stray()), b)
	}
	return geom.LineFrom(a, b)
}

// around lists the patches next to the one of the given outline in row r,
// column c.
func (q *quilt) around(r, c int, outline geom.Path) []neighbour {
	var out []neighbour
	for i, d := range [...][2]int{{-1, 0}, {0, 1}, {1, 0}, {0, -1}} {
		if r2, c2 := r+d[0], c+d[1]; r2 >= 0 && r2 < q.size && c2 >= 0 && c2 < q.size {
			out = append(out, neighbour{r2*q.size + c2, sideNames[i], outline.Edges[i].Length()})
		}
	}
	return out
}
