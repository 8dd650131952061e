package contact

import (
	"cmp"
	"iter"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// Layer is two panels that lie on one another: parallel, within a caliper, with
// common ground. A < B.
type Layer struct {
	A, B int
	Area float64 // of the common ground, mm²
	Gap  float64 // between the two mid-surfaces, mm

	Glued  bool // a tab or glue joins them, and the pose is glued
	Hinged bool // a hinge joins them: they are folded on one another
	Inside bool // B lies on the inside of A where they share a cell; else on its outside
}

// layers holds which panels of a pose lie on one another. Coincident panels
// have the same common ground with any other, so ground is kept for pairs of
// groups of them: a strip folded flat on itself is one group with one ground,
// however many panels it has, and what holds of two panels is worked out when
// it is asked for.
type layers struct {
	groups  groups
	grounds []groundOf
	links   [][]link // by group, in the order of groups
}

// groundOf is the common ground of the panels of two groups.
// A group shares ground with itself where it has several members; first and second
// are the same panel then, and height is 0 but for rounding.
type groundOf struct {
	first  int     // a panel of the one group
	second int     // and of the other
	area   float64 // mm²
	height float64 // of the second's plane over the first's, mm outward
}

// link leads from a group to one that it shares ground with.
type link struct{ group, ground int32 }

// groups are panels whose boards coincide in space, whichever way they face.
// members[g][0] stands for group g wherever only the place of the board matters.
type groups struct {
	of      []int32 // group of each panel; −1 for a panel without board or place
	members [][]int // panels of each, in order of making
}

// coincidence is how far apart, in mm, corners of coincident panels may lie:
// far more than placing a panel after a thousand folds loses, and far less than
// any threshold here, so that one of a group stands for all.
const coincidence = 1e-6

// coincident groups plates by where their boards lie.
// Expected time is linear in the corners: only plates of one rounded box are compared.
func coincident(plates []plate) groups {
	g := groups{of: make([]int32, len(plates))}
	// Keys are boxes rounded to the tolerance: coincident boards on either side of a rounding step
	// get groups of their own, which costs time and changes no result.
	seen := map[[6]float64][]int32{}
	for i := range plates {
		s := &plates[i]
		if g.of[i] = -1; !s.ok {
			continue
		}
		key := s.box.rounded(coincidence)
		for _, k := range seen[key] {
			if s.coincides(&plates[g.members[k][0]]) {
				g.of[i] = k
			}
		}
		if k := g.of[i]; k >= 0 {
			g.members[k] = append(g.members[k], i)
			continue
		}
		g.of[i] = int32(len(g.members))
		seen[key] = append(seen[key], g.of[i])
		g.members = append(g.members, []int{i})
	}
	return g
}

// members lists the panels of panel i's group.
func (l *layers) members(i int) []int { return l.groups.members[l.groups.of[i]] }

// add books the common ground of the groups of two panels.
func (l *layers) add(i, j int, g groundOf) {
	g.first, g.second = i, j
	l.grounds = append(l.grounds, g)
}

// index lets every group find the ground it shares.
func (l *layers) index() {
	l.links = make([][]link, len(l.groups.members))
	for k, g := range l.grounds {
		a, b := l.groups.of[g.first], l.groups.of[g.second]
		l.links[a] = append(l.links[a], link{b, int32(k)})
		if a != b {
			l.links[b] = append(l.links[b], link{a, int32(k)})
		}
	}
	for _, links := range l.links {
		slices.SortFunc(links, func(a, b link) int { return cmp.Compare(a.group, b.group) })
	}
}

// ground is the place in grounds of what two panels share; ok is false when
// they share none.
func (l *layers) ground(i, j int) (k int, ok bool) {
	of, to := l.groups.of[i], l.groups.of[j]
	if of < 0 || to < 0 {
		return 0, false
	}
	links := l.links[of]
	at, ok := slices.BinarySearchFunc(links, to, func(n link, to int32) int { return cmp.Compare(n.group, to) })
	if !ok {
		return 0, false
	}
	return int(links[at].ground), true
}

// near appends to out, in order of making, the panels that share ground with
// panel i and come after panel last.
// last is a panel's number; −1 gives all.
func (l *layers) near(out []int, i, last int) []int {
	if l.groups.of[i] < 0 {
		return out
	}
	links := l.links[l.groups.of[i]]
	for _, n := range links {
		m := l.groups.members[n.group]
		// Members are in order of making.
		from, _ := slices.BinarySearch(m, last+1)
		for _, o := range m[from:] {
			if o != i {
				out = append(out, o)
			}
		}
	}
	if len(links) > 1 {
		slices.Sort(out)
	}
	return out
}

// Layers goes through the pairs of panels that lie on one another, by A, then
// B. There may be as many as half the square of the panels.
// Each takes a binary search and, for Inside, a merge of the cells of the two.
func (p *Posed) Layers() iter.Seq[Layer] {
	return func(yield func(Layer) bool) {
		var others []int
		for i := range p.plates {
			others = p.layers.near(others[:0], i, i)
			for _, j := range others {
				k, _ := p.layers.ground(i, j)
				if !yield(p.layer(i, j, k)) {
					return
				}
			}
		}
	}
}

// layer is what two panels, i < j, that share ground k are to one another.
func (p *Posed) layer(i, j, k int) Layer {
	l := Layer{A: i, B: j, Area: p.layers.grounds[k].area}
	z := p.heightOver(i, k)
	l.Gap, l.Hinged, l.Glued = math.Abs(z), len(p.hinged[pair{i, j}]) > 0, p.glued[pair{i, j}] && p.Pose.Pose.Glued
	l.Inside = p.IsInside(i, j)
	return l
}

// heightOver is how far the other group of ground k lies outside panel i.
// In mm, negative where the other lies on its inside.
func (p *Posed) heightOver(i, k int) float64 {
	g := &p.layers.grounds[k]
	z := g.height
	// Height is kept for the first group, outward of its first panel: turned round for the second
	// group and for panels that face the other way.
	if p.layers.groups.of[i] != p.layers.groups.of[g.first] {
		z = -z
	}
	if p.plates[i].normal.Dot(p.plates[g.first].normal) < 0 {
		z = -z
	}
	return z
}

// Spot is a place well inside the common ground of two panels, on panel A, in
// the world and in the blank frame.
func (p *Posed) Spot(l Layer) (at geom.Point3, onBlank geom.Point) {
	a := &p.plates[l.A]
	g := ground(a, &p.plates[l.B])
	return a.world(g.spot), a.body.Panel.Flat.Apply(g.spot)
}

// common is the ground that two panels share which are as good as parallel.
// ok is false where their planes are farther apart than reach anywhere on the rim of
// that ground: heights over a plane are linear, so the rim holds the extremes.
func (p *Posed) common(i, j int) (groundOf, bool) {
	a, b := &p.plates[i], &p.plates[j]
	g := ground(a, b)
	if g.area == 0 {
		return groundOf{}, false
	}
	// b's plane over a's frame is level but for a tilt under 1° (parallel), so n.Z is near ±1.
	// Over a point of a the plane of b, (x − t)·n = 0 in a's frame, is solved for z.
	to := b.onto(a)
	n := to.Normal()
	height := func(q geom.Point) float64 { return (to.T.Sub(q.Space())).Dot(n) / n.Z }
	for _, q := range g.rim {
		if math.Abs(height(q)) > p.reach() {
			return groundOf{}, false
		}
	}
	return groundOf{area: g.area, height: height(g.spot)}, true
}

// overlap is the common ground of two parallel bodies, in the frame of the
// first.
type overlap struct {
	area float64 // 0 when there is none wider than the snap tolerance
	spot geom.Point
	rim  []geom.Point
}

// ground lays b on a along a's normal.
// For boards that are not both convex the ground is cut with true arcs.
func ground(a, b *plate) overlap {
	m := b.onto(a)
	// Convex hulls are clipped first: most pairs have no common ground, and for convex boards this
	// is all of it.
	shared := polygon.Clip(laid(b.body.Hull, m), a.body.Hull)
	if !polygon.Solid(shared) {
		return overlap{}
	}
	if a.body.Convex && b.body.Convex {
		return overlap{polygon.Area(shared), polygon.Centroid(shared), shared}
	}
	rings, err := region.Intersect(a.body.Rings, laidRings(b.body.Rings, m.InPlane(geom.Point{})))
	if err != nil {
		// Rings that do not close are a fault of the blank, told there. The
		// hulls' common ground holds all there can be.
		return overlap{polygon.Area(shared), polygon.Centroid(shared), shared}
	}
	var loops [][]geom.Point
	out := overlap{}
	for _, r := range rings {
		loop, _ := flatten(r)
		loops = append(loops, loop)
		out.area += polygon.Area(loop)
		out.rim = append(out.rim, loop...)
	}
	if len(loops) > 0 {
		out.spot = spotIn(loops)
	}
	return out
}

// laid is a loop seen along the normal of another frame, counter-clockwise
// again where it is seen from its back.
// m leads into that frame; height over it is dropped (orthographic projection).
func laid(loop []geom.Point, m geom.RigidTransform) []geom.Point {
	out := make([]geom.Point, len(loop))
	for i, p := range loop {
		out[i] = m.Apply(p.Space()).Plane()
	}
	if m.Normal().Z < 0 {
		slices.Reverse(out)
	}
	return out
}

// laidRings moves rings and keeps their board on the left.
func laidRings(rings []blank.Ring, m geom.Isometry) []blank.Ring {
	out := make([]blank.Ring, len(rings))
	for i, r := range rings {
		ring := make(blank.Ring, len(r))
		for k, c := range r {
			ring[k] = c.Transform(m)
		}
		if m.Mirrors() {
			slices.Reverse(ring)
			for k, c := range ring {
				ring[k] = c.Reverse()
			}
		}
		out[i] = ring
	}
	return out
}
