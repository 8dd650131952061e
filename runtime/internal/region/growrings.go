package region

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// GrowRings moves the boundary of a region outward by d mm, inward when d is negative,
// as Grow does with an outline: parts grow and holes shrink at once. Parts may join or
// fall apart, holes may close or appear, all may vanish. The region is given and comes
// back as for Union. Less than geom.SnapTolerance changes nothing. The error is of a d
// that is no offset, or as for Union.
func GrowRings[R ~[]geom.Curve](rings []R, d float64) ([]R, error) {
	if math.IsNaN(d) || math.Abs(d) > geom.MaxSize {
		return nil, fmt.Errorf("a region cannot grow by %v mm", d)
	}
	if math.Abs(d) < geom.SnapTolerance {
		return rings, nil
	}
	k := 1.0
	if _, e := math.Frexp(coarse / math.Abs(d)); e > 0 {
		k = math.Ldexp(1, e)
	}
	o := &outlined{}
	for _, r := range rings {
		p := geom.Path{Closed: true}
		for _, c := range r {
			p.Edges = append(p.Edges, geom.Edge{Curve: c})
		}
		raw := rawOffset(scale(tight(p), k), d*k)
		o.curves, o.names = append(o.curves, raw.curves...), append(o.names, raw.names...)
	}
	grown, err := o.solidRings(o.covered(), SeparateHoles)
	if err != nil {
		return nil, err
	}
	var out []R
	for _, ring := range grown {
		p := geom.Path{Closed: true}
		for _, r := range o.join(ring) {
			p.Edges = append(p.Edges, geom.Edge{Curve: o.curve(r)})
		}
		out = append(out, scale(p, 1/k).Curves())
	}
	return out, nil
}

// covered arranges the curves and bounds what they wind round a positive number of times.
func (o *outlined) covered() []HalfEdge {
	a := Arrange(o.curves)
	o.Arrangement = &a
	w := a.wind(0, len(o.curves))
	var halves []HalfEdge
	for k := range a.Edges {
		if left, right := w.left[k] > 0, w.right(k) > 0; left != right {
			halves = append(halves, HalfEdge{k, right})
		}
	}
	return halves
}
