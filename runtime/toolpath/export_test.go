package toolpath

import "github.com/creasewright/creasewright/runtime/geom"

// For tests of files, which cannot stand in this package.
var (
	EachBlank = eachBlank
	Points    = points
)

// TipOf is where the tip of a trailing blade goes that is dragged along strokes, one after the other;
// theta is its heading before the first, in radians.
func TipOf(d, theta float64, strokes [][]geom.Curve) [][]geom.Point {
	knife := blade{d: d, theta: theta}
	var out [][]geom.Point
	for _, s := range strokes {
		knife.down(s[0].P)
		for _, c := range s {
			knife.drag(c, d/40)
		}
		out = append(out, knife.tip)
	}
	return out
}

// Apart is how far a point of one set of chains is from the other set, at most 1 mm.
func Apart(from, to [][]geom.Point) float64 {
	worst, n := 0.0, newNear(to...)
	for _, chain := range from {
		worst = max(worst, n.furthest(chain))
	}
	return worst
}
