package contact

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Penetration is two panels that cross in a pose. A and B are their places in
// the piece, A < B.
type Penetration struct {
	A, B int
	// Depth is the length in mm of the shortest move that parts the two, more
	// than Shallowest: exact for convex panels, else the shortest of several
	// moves that do, never less than the true one.
	Depth float64
	Part  geom.Point3 // unit; B moved by Depth this way just clears A

	At      geom.Point3 // the middle of the longest stretch along which they cross, in the world
	AtBlank geom.Point  // At on panel A, in the blank frame
}

// collide finds every contact of the pose: of each two groups of coincident
// panels first, and of all their members where those cross.
func (p *Posed) collide(ctx context.Context) error {
	p.layers.groups = coincident(p.plates)
	reach := p.reach()
	boxes := make([]box3, len(p.plates))
	for i := range p.plates {
		boxes[i] = p.plates[i].box
	}
	firsts := newBoxTree(boxes, func(i int) bool { return p.plates[i].ok && p.layers.members(i)[0] == i })
	err := firsts.pairs(ctx, reach, func(i, j int) error {
		if lo, hi := p.plates[i].heights(p.plates[j].hull); lo > reach || hi < -reach {
			return nil
		}
		if p.parallel(i, j) {
			if g, ok := p.common(i, j); ok {
				p.layers.add(i, j, g)
				return nil
			}
		}
		for _, a := range p.layers.members(i) {
			for _, b := range p.layers.members(j) {
				if err := ended(ctx); err != nil {
					return err
				}
				p.cross(min(a, b), max(a, b))
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for i := range p.layers.groups.members {
		if m := p.layers.groups.members[i]; len(m) > 1 {
			if g, ok := p.common(m[0], m[1]); ok {
				p.layers.add(m[0], m[0], g)
			}
		}
	}
	p.layers.index()
	slices.SortFunc(p.Penetrations, func(s, t Penetration) int { return cmp.Or(cmp.Compare(s.A, t.A), cmp.Compare(s.B, t.B)) })
	return nil
}

// reach is how far apart two panels may be and still lie on one another.
func (p *Posed) reach() float64 { return p.caliper + geom.SnapTolerance }

// parallel reports whether two panels are as good as parallel.
func (p *Posed) parallel(i, j int) bool {
	return p.plates[i].normal.Cross(p.plates[j].normal).Len() < parallel
}

// cross books how deep two panels cross that no hinge joins, i < j.
func (p *Posed) cross(i, j int) {
	a, b := &p.plates[i], &p.plates[j]
	if lo, hi := a.heights(b.hull); lo >= -Shallowest || hi <= Shallowest || len(p.hinged[pair{i, j}]) > 0 {
		return
	}
	if t, ok := p.penetration(i, j); ok {
		p.Penetrations = append(p.Penetrations, t)
	}
}

// penetration looks at two panels whose planes cross.
func (p *Posed) penetration(i, j int) (Penetration, bool) {
	a, b := &p.plates[i], &p.plates[j]
	depth, part := parting(a, b)
	if depth <= Shallowest {
		return Penetration{}, false
	}
	x := cross(a, b)
	shared := p.notThrough(pair{i, j}, x, common(x.onA, x.onB))
	if len(shared) == 0 {
		return Penetration{}, false
	}
	if !a.body.Convex || !b.body.Convex {
		if d, way := x.wayOut(); d < depth {
			depth, part = d, way
		}
		if depth <= Shallowest {
			return Penetration{}, false
		}
	}
	t := Penetration{A: i, B: j, Depth: depth, Part: part, At: x.place(longest(shared).mid())}
	t.AtBlank = p.onBlank(i, t.At)
	return t, true
}

// notThrough drops the stretches of a crossing that lead through an opening one
// of the two is tucked into, a rim of it included: how well it passes is the
// join's matter.
func (p *Posed) notThrough(q pair, x *crossing, shared []interval) []interval {
	for _, w := range p.through[q] {
		at, dir := x.inFrame(&p.plates[p.index[w.Panel]])
		open := cut([][]geom.Point{w.Outline.Flatten(Flatten)}, at, dir)
		if len(open) == 0 {
			continue
		}
		from, to := open[0].from-Rim, open[len(open)-1].to+Rim
		shared = slices.DeleteFunc(shared, func(v interval) bool {
			return max(v.from, from) <= min(v.to, to)
		})
	}
	return shared
}
