package region

import (
	"fmt"
	"math"
	"strconv"

	"github.com/creasewright/creasewright/runtime/geom"
)

// GrowRings moves the boundary of a region outward by d mm, inward when d is negative,
// as Grow does with an outline: parts grow and holes shrink at once. Parts may join or
// fall apart, holes may close or appear, all may vanish. The region is given and comes
// back as for Union. Less than geom.SnapTolerance changes nothing. The error is of a d
// that is no offset, or as for Union.
func GrowRings[R ~[]geom.Curve](rings []R, d float64) ([]R, error) {
	out, _, err := growRings(rings, d, sharpCorners)
	return out, err
}

// RoundRings is GrowRings with arcs about the old corners where edges part: what a disc of
// radius d covers while its centre is on the region, its Minkowski sum with the disc. gone
// tells, for each curve of each ring, that nothing of its offset is left.
func RoundRings[R ~[]geom.Curve](rings []R, d float64) (out []R, gone [][]bool, err error) {
	return growRings(rings, d, roundCorners)
}

func growRings[R ~[]geom.Curve](rings []R, d float64, style cornerStyle) (out []R, gone [][]bool, err error) {
	if math.IsNaN(d) || math.Abs(d) > geom.MaxSize {
		return nil, nil, fmt.Errorf("a region cannot grow by %v mm", d)
	}
	gone = make([][]bool, len(rings))
	for i, r := range rings {
		gone[i] = make([]bool, len(r))
	}
	if math.Abs(d) < geom.SnapTolerance {
		return rings, gone, nil
	}
	k := 1.0
	if _, e := math.Frexp(coarse / math.Abs(d)); e > 0 {
		k = math.Ldexp(1, e)
	}
	o := &outlined{}
	from := map[string]*bool{} // by the name that a curve has here
	for i, r := range rings {
		p := geom.Path{Closed: true}
		for j, c := range r {
			name := strconv.Itoa(i) + "." + strconv.Itoa(j)
			p.Edges = append(p.Edges, geom.Edge{Name: name, Curve: c})
			from[name] = &gone[i][j]
			gone[i][j] = true
		}
		raw := rawOffset(scale(tight(p), k), d*k, style)
		o.curves, o.names = append(o.curves, raw.curves...), append(o.names, raw.names...)
	}
	grown, err := o.solidRings(o.covered(), SeparateHoles)
	if err != nil {
		return nil, nil, err
	}
	for _, ring := range grown {
		for _, h := range ring {
			for _, u := range o.Edges[h.Edge].Origins {
				if n := o.names[u.Curve]; n.rank == 0 {
					*from[n.name] = false
				}
			}
		}
		p := geom.Path{Closed: true}
		for _, r := range o.join(ring) {
			p.Edges = append(p.Edges, geom.Edge{Curve: o.curve(r)})
		}
		out = append(out, scale(p, 1/k).Curves())
	}
	return out, gone, nil
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
