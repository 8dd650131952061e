package region

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Plus is the outline round what a or b covers. Lines, arcs and cubics stay
// what they are. Edges keep their names, those of b made distinct where a has
// the name; of an edge cut into pieces the first in order of travel keeps the
// name and the others become name.2, name.3 and so on.
//
// Paths that are not closed, and a result that is not one outline without
// holes, are errors; the latter a *ShapeError with the areas.
func Plus(a, b geom.Path) (geom.Path, error) { return merge(a, b, either) }

// Minus is the outline of what a covers and b does not, with names and errors
// as for Plus.
func Minus(a, b geom.Path) (geom.Path, error) { return merge(a, b, first) }

func merge(a, b geom.Path, in rule) (geom.Path, error) {
	for _, p := range [...]geom.Path{a, b} {
		if err := outlineInput(p); err != nil {
			return geom.Path{}, err
		}
	}
	p := arrangePair(slices.Concat(a.Curves(), b.Curves()), len(a.Edges))
	o := &outlined{Arrangement: &p.Arrangement}
	for rank, path := range [...]geom.Path{a, b} {
		for _, e := range path.Edges {
			o.curves = append(o.curves, e.Curve)
			o.names = append(o.names, naming{e.Name, rank})
		}
	}
	return o.outline(p.boundary(in))
}

// outlineInput refuses paths that enclose nothing and numbers that are none.
func outlineInput(p geom.Path) error {
	if !p.Closed || len(p.Edges) == 0 {
		return fmt.Errorf("the path is not closed")
	}
	for _, e := range p.Edges {
		if !e.P.Finite() || !e.Q.Finite() || !e.C.Finite() || !e.D.Finite() || math.IsNaN(e.Sweep.Radians()) || math.IsInf(e.Sweep.Radians(), 0) {
			return fmt.Errorf("edge %q is not made of ordinary numbers", e.Name)
		}
	}
	return nil
}
