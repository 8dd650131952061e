package contact

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Body is a panel's board after windows as a plane region, in the panel's
// frame. A panel that windows left nothing of has no rings.
type Body struct {
	Panel *model.Panel
	Rings []blank.Ring // exact, board on the left

	// Loops are the rings as chords within Flatten of them: chord k of a loop
	// runs from point k to the next, the last one home to the first, and is part
	// of curve Source[loop][k] of the ring.
	Loops  [][]geom.Point
	Source [][]int

	Hull   []geom.Point // the convex hull's corners, counter-clockwise
	Convex bool         // the loops are one, and it is the hull
}

// newBody brings a sheet into its panel's frame.
func newBody(s blank.Sheet) Body {
	b := Body{Panel: s.Panel}
	for _, ring := range laidRings(s.Rings, s.Panel.Flat.Inverse()) {
		loop, source := flatten(ring)
		b.Rings = append(b.Rings, ring)
		b.Loops = append(b.Loops, loop)
		b.Source = append(b.Source, source)
	}
	b.Hull = polygon.Hull(b.Loops)
	b.Convex = len(b.Loops) == 1 && polygon.Convex(b.Loops[0])
	return b
}

// flatten gives a ring's chords and the curve each is part of.
func flatten(ring blank.Ring) (loop []geom.Point, source []int) {
	for i, c := range ring {
		loop = append(loop, c.P)
		loop = c.Flatten(loop, Flatten)
		loop = loop[:len(loop)-1] // the next curve's start
		for len(source) < len(loop) {
			source = append(source, i)
		}
	}
	return loop, source
}
