package contact

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// folding is when each panel folds: its place in the order of making, or where
// the pose names an order, the panels named there change those places among
// themselves.
// The result is a permutation of the panels' numbers, by panel; smaller is earlier.
// Panels that the order does not name keep theirs.
func (p *Posed) folding() []int {
	when := make([]int, len(p.plates))
	for i := range when {
		when[i] = i
	}
	var named, places []int
	for _, q := range p.Pose.Pose.Order {
		if i, ok := p.index[q]; ok {
			named, places = append(named, i), append(places, i)
		}
	}
	slices.Sort(places)
	for k, i := range named {
		when[i] = places[k]
	}
	return when
}

// landsInside reports whether facet m comes to lie inside q when the last fold
// between them that moves one toward the other is made: the side it comes from.
// Where no fold does, what folds earlier lies on the inside of what folds later.
// Inside is toward the inside of the stack. Only m's and q's first panels are looked
// at, to which the others of their facets are joined over flat hinges. It takes as
// many steps as there are hinges between the two.
func (o *ordering) landsInside(m, q int32) bool {
	// The two climb the tree of hinges until they meet. Of the hinges passed the one
	// that folds last and moves its side toward or from the other decides; a
	// hinge on q's way moves q, so its sense is turned round.
	spot := o.spotOf(m, q)
	a, b := o.facets[m].panels[0], o.facets[q].panels[0]
	last, toward := math.MinInt, 0.0
	for a != b {
		// A panel is made after the one it hangs on, so that stepping from the
		// later one leads to where the two ways meet.
		side := 1.0
		child := &a
		if b > a {
			child, side = &b, -1
		}
		i := *child
		h := o.Piece.Panels[i].Hang
		if h == nil {
			break
		}
		if o.when[i] > last {
			if v := side * o.approach(i, spot); v != 0 {
				last, toward = o.when[i], v
				if o.asMade {
					break // all that follow fold earlier
				}
			}
		}
		*child = o.index[h.Parent]
	}
	if toward != 0 {
		return toward > 0
	}
	return !o.facets[m].up
}

// spotOf is a place, in the world, over which two facets lie that share a cell.
func (o *ordering) spotOf(m, q int32) geom.Point3 {
	for _, c := range o.with[m] {
		if _, ok := slices.BinarySearch(o.cells[c], q); ok {
			return o.plates[o.stack.plane].world(o.spots[c])
		}
	}
	return geom.Point3{}
}

// approach is the speed, along the way out of the stack, with which what hangs
// on panel i's hinge comes to a place at the end of its fold; 0 when it slides
// into it.
//
// With the hinge along the unit vector u, the parent's board on the left, a fold
// by θ turns the child about u, so that a place x moves with sgn(θ) u × (x − h)
// for a point h of the hinge.
// Positive is outward, mm per radian: what comes outward came from the inside and
// stays there. The axis lies AxisHeight off the parent's mid-surface, along its
// normal.
func (o *ordering) approach(i int, at geom.Point3) float64 {
	h := o.Piece.Panels[i].Hang
	turn := o.Pose.Angles[o.hang[i]]
	parent := &o.plates[o.index[h.Parent]]
	if !turn.OK || turn.Degrees.Abs() <= flatTurn || !parent.ok && !o.Pose.Place[o.index[h.Parent]].OK {
		return 0
	}
	frame := o.Pose.Place[o.index[h.Parent]].RigidTransform
	p, q := frame.Apply(h.Curve.P.Space()), frame.Apply(h.Curve.Q.Space())
	p = p.Add(frame.Normal().Mul(h.AxisHeight(o.caliper)))
	// u × (x − h) is in mm per radian. By tolerance: a speed within the share
	// parallel of its own length, or geom.SnapTolerance, is a slide.
	v := q.Sub(p).Unit().Cross(at.Sub(p))
	if turn.Degrees < 0 {
		v = v.Mul(-1)
	}
	if s := v.Dot(o.stack.Out); math.Abs(s) > parallel*v.Len()+geom.SnapTolerance {
		return s
	}
	return 0
}

// sample finds the heights of the facets over the corners of their cells, in mm
// outward of the stack's plane: four of each facet, in the order of o.all. A plane
// over a cell is linear, so it differs most from another at a corner of the cell's
// hull; four of these are taken. Cells in which all facets are level need none.
// heights[c][4·i+k] is of facet i of all[c] over corner k of the cell.
func (o *ordering) sample() {
	plane := &o.plates[o.stack.plane]
	o.heights, o.uneven = make([][]float64, len(o.all)), make([][]int32, len(o.facets))
	for c := range o.all {
		// Facets as rows, four samples each.
		places := corners(o.stack.Cells[c].parts)
		panel := make(map[int32]int, len(o.all[c]))
		for _, i := range o.stack.Cells[c].Panels {
			panel[o.of[i]] = i
		}
		var hs []float64
		level := true
		for _, f := range o.all[c] {
			to := o.plates[panel[f]].onto(plane)
			n := to.Normal()
			for k, q := range places {
				h := to.T.Sub(q.Space()).Dot(n) / n.Z
				hs = append(hs, h)
				level = level && math.Abs(h-hs[k]) <= geom.SnapTolerance
			}
		}
		if level {
			continue
		}
		o.heights[c] = hs
		for _, f := range o.all[c] {
			o.uneven[f] = append(o.uneven[f], int32(c))
		}
	}
}

// corners are the four places of a cell that lie farthest to either side, up and
// down.
// Their order is left, right, lowest, highest; the first of equals is taken, compared
// exactly, as any of them serves.
func corners(parts []part) [4]geom.Point {
	out := [4]geom.Point{parts[0][0], parts[0][0], parts[0][0], parts[0][0]}
	for _, t := range parts {
		for _, p := range t {
			for k, better := range [4]int{cmp.Compare(out[0].X, p.X), cmp.Compare(p.X, out[1].X), cmp.Compare(out[2].Y, p.Y), cmp.Compare(p.Y, out[3].Y)} {
				if better > 0 {
					out[k] = p
				}
			}
		}
	}
	return out
}

// height reports whether facet m lies inside q by its plane: more than tol
// inside or outside somewhere and nowhere the other way. ok is false when the
// planes do not tell: by tolerance, for planes that run within tol of one another
// or cross over the cells that the two share.
func (o *ordering) height(m, q int32, tol float64) (inside, ok bool) {
	// The range of m's height over q, over all samples of the cells they share.
	low, high := 0.0, 0.0
	for _, c := range o.uneven[m] {
		k, on := slices.BinarySearch(o.all[c], q)
		if !on {
			continue
		}
		i, _ := slices.BinarySearch(o.all[c], m)
		hs := o.heights[c]
		for s := range 4 {
			d := hs[4*i+s] - hs[4*k+s]
			low, high = min(low, d), max(high, d)
		}
	}
	switch {
	case low < -tol && high <= geom.SnapTolerance:
		return true, true
	case high > tol && low >= -geom.SnapTolerance:
		return false, true
	}
	return false, false
}
