package modeltest

import (
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Bricks come in courses of one height and random lengths, in mm.
const (
	courseHeight = 30.0
	leastBrick   = 20.0
	mostBrick    = 70.0
)

// Bricks is a random hinge tree cut from a wall of bricks: neighbours in a
// course share a whole end, those above and below only part of an edge, with
// corners that stand in the middle of other edges.
func Bricks(rng *rand.Rand, n int, m geom.Isometry) *Known {
	courses := int(math.Ceil(math.Sqrt(float64(n)))) + 2
	width := float64(courses) * mostBrick
	var patches []patch
	below := 0 // first patch of the course below
	for r := range courses {
		first := len(patches)
		patches = course(rng, patches, float64(r)*courseHeight, width)
		for i := first + 1; i < len(patches); i++ {
			meet(patches, i-1, i, "right", courseHeight)
		}
		if r > 0 {
			bond(patches, below, first)
		}
		below = first
	}
	return grow(rng, patches, n, m)
}

// course appends bricks from x = 0 to width, all but exactly.
func course(rng *rand.Rand, patches []patch, y, width float64) []patch {
	x := 0.0
	for x < width {
		// Whole millimetres now and then, so that joints line up too.
		length := math.Round(leastBrick + rng.Float64()*(mostBrick-leastBrick))
		if rng.Intn(2) == 0 {
			length += rng.Float64()
		}
		patches = append(patches, patch{outline: Rect(x, y, length, courseHeight)})
		x += length
	}
	return patches
}

// bond makes neighbours of the bricks of two courses where they lie on one
// another at all.
func bond(patches []patch, below, first int) {
	for i := below; i < first; i++ {
		a := patches[i].outline.Bounds()
		for j := first; j < len(patches); j++ {
			b := patches[j].outline.Bounds()
			shared := math.Min(a.Max.X, b.Max.X) - math.Max(a.Min.X, b.Min.X)
			if shared > geom.SnapTolerance {
				meet(patches, i, j, "top", shared)
			}
		}
	}
}

// meet makes patches i and j neighbours across the given side of i.
func meet(patches []patch, i, j int, side string, shared float64) {
	patches[i].neighbours = append(patches[i].neighbours, neighbour{j, side, shared})
	patches[j].neighbours = append(patches[j].neighbours, neighbour{i, opposite[side], shared})
}
