package scene

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A card with a strut behind it, a tent card or a folded greeting card is made to stand
// edges of board or on a foot: on its widest base it would lie on its face or back. Such a
// piece is known by three signs: the root panel's lower edge, as it is drawn, and other
// board are a stable base; no panel hung on the root lies in that base, as the wall of a
// tray stood on end would; and nothing closes the piece above its widest base, as it does a sleeve, a
// carton or a mailer, which lie or stand on panels.

// closedAbove reports whether a panel lies level on top of the piece.
func (sc *Scene) closedAbove(pts []geom.Point3, up geom.Point3) bool {
	low, high := rangeAlong(pts, up)
	return sc.levelPanel(up, high-float64(topShare*(high-low)), false)
}

// topShare of the height is how far below the highest corner a panel may lie and still be
// on top: flaps and layers lie on lids.
const topShare = 0.1

// levelPanel reports whether some panel, of those hung on the root or of all, lies square
// to a unit vector with its middle beyond a coordinate along it.
func (sc *Scene) levelPanel(way geom.Point3, beyond float64, onRoot bool) bool {
	for _, b := range sc.plates {
		if onRoot && (b.panel.Hang == nil || b.panel.Hang.Parent.Hang != nil) {
			continue
		}
		if math.Abs(b.place.Normal().Dot(way)) > parallelCosine && b.middle().Dot(way) >= beyond {
			return true
		}
	}
	return false
}

// footEdges is the way up of a piece that stands on the lower edge of its root panel and on
// other board: of the two facets of the convex hull at that edge, the wider on which the
// piece is stable, no panel of the root's lies and the root leans by mostLean or less.
func (sc *Scene) footEdges(pts []geom.Point3, centre geom.Point3) (up geom.Point3, ok bool) {
	size := extent(pts)
	low, _ := rangeAlong(pts, geom.Point3{Y: 1})
	ground := low + float64(contactShare*size)
	if !sc.rootTouches(ground) {
		return up, false
	}
	area := 0.0
	for _, side := range [...]float64{-1, 1} { // behind the root, and before it
		slope := math.Inf(1)
		for _, p := range pts {
			if out := p.Z * side; out > flatShare*size {
				slope = min(slope, (p.Y-low)/out)
			}
		}
		if slope > mostLean {
			continue
		}
		down := steady(geom.Point3{Y: -1, Z: side * slope}.Unit())
		_, high := rangeAlong(pts, down)
		at := high - float64(contactShare*size) - LayerSpacing(sc.in.Blank) // layers are drawn apart
		a, margin := base(pts, centre, down, at)
		if margin >= leastTip*(high-centre.Dot(down)) && !sc.levelPanel(down, at, true) && a > area*(1+widerShare) {
			area, up, ok = a, down.Mul(-1), true
		}
	}
	return up, ok
}

// rootTouches reports whether a side of the root panel lies below a height over its own
// frame's x-z plane.
func (sc *Scene) rootTouches(ground float64) bool {
	touching := 0
	for _, b := range sc.plates {
		if b.panel.Hang == nil {
			for _, p := range b.hull {
				if b.place.Apply(p.Space()).Y <= ground {
					touching++
				}
			}
		}
	}
	return touching > 1
}

// middle is the mean of the corners of a plate's hull, in the world.
func (b *plate) middle() geom.Point3 {
	var sum geom.Point3
	for _, p := range b.hull {
		sum = sum.Add(b.place.Apply(p.Space()))
	}
	return sum.Mul(1 / float64(len(b.hull)))
}
