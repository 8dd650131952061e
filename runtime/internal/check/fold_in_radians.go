package check

import (
	"math"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// foldInRadians warns of folds that are a usual angle in radians: a fold of 1.5708
// degrees is no crease that anyone makes.
var foldInRadians = Rule{
	ID: "fold-in-radians", Severity: diag.Warning, Title: "a fold looks like radians",
	find: func(f *facts) []Found {
		var out []Found
		for _, h := range f.Design.Hinges {
			if h.Fold.Free != nil {
				continue
			}
			if d, ok := fromRadians(h.Fold.Degrees); ok {
				found := foundf(siteOf(h), []*model.Panel{h.Child}, "hinge %q folds by %s degrees, which looks like radians", h.Name, short(float64(h.Fold.Degrees))).
					hint("fold is in degrees: fold = %d", d)
				if found.Piece != nil {
					found = found.atHinge(h)
				}
				out = append(out, found)
			}
		}
		for _, pose := range f.Design.Poses {
			for _, h := range f.Design.Hinges { // in their order, which the map has not
				given, there := pose.FoldDegrees[h]
				if d, ok := fromRadians(given); there && ok {
					out = append(out, foundf(pose.Site, []*model.Panel{h.Child}, "pose %q folds hinge %q by %s degrees, which looks like radians", pose.Name, h.Name, short(float64(given))).
						hint("folds are in degrees: %d", d))
				}
			}
		}
		return out
	},
}

// radianStep is 15 degrees in radians. No multiple of it within a turn is as near to a
// whole number as radianTolerance.
const radianStep = math.Pi / 12

// radianTolerance is how far from a multiple a fold may be, in radians: less than what
// a figure of six decimals is rounded by, so that 1.57 typed by hand is not told.
const radianTolerance = 1e-6

// fromRadians is the angle in degrees that a fold within a turn says in radians, if it
// is a multiple of 15 degrees.
func fromRadians(fold geom.Degrees) (degrees int, ok bool) {
	n := math.Round(float64(fold) / radianStep)
	ok = n != 0 && math.Abs(n) <= 24 && math.Abs(float64(fold)-n*radianStep) <= radianTolerance
	return int(n) * 15, ok
}
