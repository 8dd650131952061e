package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// Weights of what a view shows. Common practice, no source.
const (
	// lookIn is how much a look through an opening counts against as much outside.
	lookIn = 3.0
	// betterShare is by how much more a view must show to be preferred to an earlier
	// one: pictures that look alike from one design to the next are easier to read.
	betterShare = 0.1
)

// Choose is the place in a list of the view that shows most of a piece: the area of the
// panels that turn their outsides to the eye on its own side of the piece, and the
// openings that can be looked into, both as they appear in the picture. An earlier
// view is kept unless a later one shows betterShare more.
//
// The openings come from the divergence theorem: over a closed surface the vectors area ×
// outward normal add up to zero, so what they lack is the area of the opening times the way
// out of it. Board that lies double is counted double, which is little of most designs.
// Nothing is tested for being hidden: a view costs O(panels). Shares are rounded to a
// thousandth before they are compared, so that every platform chooses alike.
func (sc *Scene) Choose(views []View) int {
	areas, total := make([]float64, len(sc.plates)), 0.0
	var centre, opening geom.Point3
	for i, b := range sc.plates {
		for _, r := range b.rings {
			areas[i] += polygon.Area(r)
		}
		total += areas[i]
		centre = centre.Add(b.middle().Mul(areas[i]))
		opening = opening.Sub(b.place.Normal().Mul(areas[i]))
	}
	if total <= 0 {
		return 0
	}
	centre = centre.Mul(1 / total)
	best, most := 0, 0.0
	for k, v := range views {
		shown := float64(lookIn * max(0, opening.Dot(v.Toward)))
		for i, b := range sc.plates {
			facing := b.place.Normal().Dot(v.Toward)
			if facing > 0 && b.middle().Sub(centre).Dot(v.Toward) > -depthTolerance {
				shown += float64(areas[i] * facing)
			}
		}
		if shown = math.Round(shown / total * 1000); k == 0 || shown > most*(1+betterShare) {
			best, most = k, shown
		}
	}
	return best
}

// Flat reports whether the piece is pressed flat: its board lies in one plane, but for
// the distance that layers are drawn apart.
func (sc *Scene) Flat() bool {
	pts, _ := sc.corners()
	if len(pts) == 0 {
		return false
	}
	way := sc.plates[0].place.Normal()
	for _, b := range sc.plates {
		if math.Abs(b.place.Normal().Dot(way)) < pressedCosine {
			return false
		}
	}
	low, high := rangeAlong(pts, way)
	return high-low < pressedShare*extent(pts)
}

// pressedCosine is the cosine of the angle by which panels of a piece that is pressed flat
// may be turned, maxTilt with some to spare; pressedShare is how thick its stack of layers may
// be, as a share of its extent.
const (
	pressedCosine = 0.98
	pressedShare  = 0.15
)
