package region

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// ShapeError says that what came out is not one outline without holes. Parts
// and Holes are areas in mm², largest first; both empty when nothing was left.
type ShapeError struct{ Parts, Holes []float64 }

func (e *ShapeError) Error() string {
	switch {
	case len(e.Holes) == 1:
		return "a hole of " + areaList(e.Holes) + " mm² is left"
	case len(e.Holes) > 1:
		return fmt.Sprintf("%d holes are left, of %s mm²", len(e.Holes), areaList(e.Holes))
	case len(e.Parts) > 1:
		return fmt.Sprintf("%d parts are left, of %s mm²", len(e.Parts), areaList(e.Parts))
	}
	return "nothing is left"
}

// scale multiplies the areas.
func (e *ShapeError) scale(k float64) *ShapeError {
	out := &ShapeError{}
	for _, a := range e.Parts {
		out.Parts = append(out.Parts, a*k)
	}
	for _, a := range e.Holes {
		out.Holes = append(out.Holes, a*k)
	}
	return out
}

// areaList joins areas as words: 25, 9 and 4.
func areaList(areas []float64) string {
	words := make([]string, len(areas))
	for i, a := range areas {
		words[i] = geom.Num(a)
	}
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// outlined is an arrangement whose curves have names, from which one outline is
// to be taken.
type outlined struct {
	*Arrangement
	curves []geom.Curve
	names  []naming // of each curve
}

// outline traces the one closed outline that the halves bound, puts pieces of
// one curve that follow each other back together, and names the edges. It
// starts with the first curve of the best rank that has a piece in it.
func (o *outlined) outline(halves []HalfEdge) (geom.Path, error) {
	ring, err := o.onlyRing(halves)
	if err != nil {
		return geom.Path{}, err
	}
	runs := o.join(ring)
	path := geom.Path{Closed: true}
	wanted := make([]naming, len(runs))
	for i, r := range runs {
		wanted[i] = o.names[r.curve]
		path.Edges = append(path.Edges, geom.Edge{Curve: o.curve(r)})
	}
	for i, name := range distinct(wanted) {
		path.Edges[i].Name = name
	}
	return path, nil
}

// onlyRing traces the halves and makes sure that they bound one part, which
// does not even touch itself in a point, and no hole.
func (o *outlined) onlyRing(halves []HalfEdge) ([]HalfEdge, error) {
	rings, err := o.solidRings(halves, SeparateHoles)
	if err != nil {
		return nil, err
	}
	if e := o.measure(rings); len(e.Holes) > 0 {
		return nil, &ShapeError{Holes: e.Holes}
	}
	if rings, err = o.solidRings(slices.Concat(rings...), SeparateRegions); err != nil {
		return nil, err
	}
	if len(rings) != 1 {
		return nil, o.measure(rings)
	}
	return rings[0], nil
}

// measure lists the rings' areas, parts and holes apart, largest first.
func (o *outlined) measure(rings [][]HalfEdge) *ShapeError {
	e := &ShapeError{}
	for _, r := range rings {
		sum := 0.0
		for _, c := range o.Curves(r) {
			sum += c.Area()
		}
		if sum < 0 {
			e.Holes = append(e.Holes, -sum)
		} else {
			e.Parts = append(e.Parts, sum)
		}
	}
	for _, areas := range [...][]float64{e.Parts, e.Holes} {
		slices.Sort(areas)
		slices.Reverse(areas)
	}
	return e
}

// run is the stretch from t0 to t1 of one curve, travelled in its direction or
// against it, from one node to another.
type run struct {
	curve    int
	against  bool
	t0, t1   float64
	from, to int
}

// join turns a ring into runs, one for each unbroken stretch of a curve. A ring
// begins with its first edge, and edges are in order of curve and parameter, so
// that no stretch goes on from the ring's end to its beginning.
func (o *outlined) join(ring []HalfEdge) []run {
	var runs []run
	for _, h := range ring {
		u := o.Edges[h.Edge].Origins[0]
		r := run{curve: u.Curve, against: h.Reversed, t0: u.T0, t1: u.T1}
		r.from, r.to = o.Ends(h)
		if n := len(runs); n > 0 && o.follows(runs[n-1], r) {
			runs[n-1] = runs[n-1].extend(r)
		} else {
			runs = append(runs, r)
		}
	}
	return o.rotate(runs)
}

// follows reports whether s goes on where r ends, along the same curve. By
// tolerance: what snapping has taken from between two stretches may be up to four
// geom.SnapTolerance long.
func (o *outlined) follows(r, s run) bool {
	if r.curve != s.curve || r.against != s.against || r.to != s.from {
		return false
	}
	joined := r.extend(s)
	if r.against {
		r, s = s, r
	}
	c := o.curves[r.curve]
	return r.t1 <= s.t0 && c.At(r.t1).Dist(c.At(s.t0)) <= 4*geom.SnapTolerance && o.fits(joined)
}

// fits reports whether a run lies where its curve does although its ends are on
// their nodes. Nearly full turns may not, and then stay in two.
func (o *outlined) fits(r run) bool {
	whole := o.curves[r.curve].Part(r.t0, r.t1)
	return !nearlyFull(whole) || o.curve(r).At(0.5).Dist(whole.At(0.5)) <= 4*geom.SnapTolerance
}

// extend is the run r and, after it, s, of the same curve and direction.
func (r run) extend(s run) run {
	r.to = s.to
	r.t0, r.t1 = min(r.t0, s.t0), max(r.t1, s.t1)
	return r
}

// rotate puts first the run that comes first by rank, curve and parameter.
func (o *outlined) rotate(runs []run) []run {
	best := 0
	for i, r := range runs {
		b := runs[best]
		if d := o.names[r.curve].rank - o.names[b.curve].rank; d != 0 {
			if d < 0 {
				best = i
			}
		} else if r.curve < b.curve || r.curve == b.curve && r.t0 < b.t0 {
			best = i
		}
	}
	return slices.Concat(runs[best:], runs[:best])
}

// curve is the run's geometry, its ends on its nodes.
func (o *outlined) curve(r run) geom.Curve {
	part := o.curves[r.curve].Part(r.t0, r.t1)
	if r.against {
		part = part.Reverse()
	}
	return refit(part, o.Nodes[r.from], o.Nodes[r.to])
}

// naming is the name an edge would like and its claim to it: a lower rank goes
// first.
type naming struct {
	name string
	rank int
}

// distinct gives every edge a name of its own, in order of travel: the first
// piece of an edge keeps its name, pieces after it and edges of a higher rank
// whose name is taken become name.2, name.3 and so on, over the names that are
// already there.
func distinct(wanted []naming) []string {
	names := make([]string, len(wanted))
	taken := map[string]bool{}
	top := 0
	for _, w := range wanted {
		top = max(top, w.rank)
	}
	for rank := range top + 1 {
		for i, w := range wanted {
			if w.rank == rank && !taken[w.name] {
				names[i], taken[w.name] = w.name, true
			}
		}
	}
	for i, w := range wanted {
		for n := 2; names[i] == ""; n++ {
			if name := w.name + "." + strconv.Itoa(n); !taken[name] {
				names[i], taken[name] = name, true
			}
		}
	}
	return names
}
