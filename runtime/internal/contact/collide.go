package contact

import (
	"cmp"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// collide finds every contact of the pose.
func (p *Posed) collide() {
	reach := p.reach()
	nearby(p.stands, reach, func(i, j int) {
		a, b := &p.stands[i], &p.stands[j]
		lo, hi := a.heights(b.hull)
		if lo > reach || hi < -reach {
			return
		}
		if a.normal.Cross(b.normal).Len() < parallel {
			if l, ok := p.layer(i, j); ok {
				p.Layers = append(p.Layers, l)
				return
			}
		}
		if len(p.hinged[pair{i, j}]) > 0 || lo >= -Shallowest || hi <= Shallowest {
			return
		}
		if t, ok := p.touch(i, j); ok {
			p.Touches = append(p.Touches, t)
		}
	})
	slices.SortFunc(p.Touches, func(s, t Touch) int { return cmp.Or(cmp.Compare(s.A, t.A), cmp.Compare(s.B, t.B)) })
	slices.SortFunc(p.Layers, func(s, t Layer) int { return cmp.Or(cmp.Compare(s.A, t.A), cmp.Compare(s.B, t.B)) })
}

// reach is how far apart two panels may be and still lie on one another.
func (p *Posed) reach() float64 { return p.caliper + geom.SnapTolerance }

// touch looks at two panels whose planes cross.
func (p *Posed) touch(i, j int) (Touch, bool) {
	a, b := &p.stands[i], &p.stands[j]
	depth, part := parting(a, b)
	if depth <= Shallowest {
		return Touch{}, false
	}
	x := cross(a, b)
	shared := p.notThrough(pair{i, j}, x, common(x.onA, x.onB))
	if len(shared) == 0 {
		return Touch{}, false
	}
	if !a.body.Convex || !b.body.Convex {
		if d, way := x.wayOut(); d < depth {
			depth, part = d, way
		}
		if depth <= Shallowest {
			return Touch{}, false
		}
	}
	v := longest(shared)
	t := Touch{A: i, B: j, Depth: depth, Part: part, From: x.place(v.from), To: x.place(v.to), At: x.place(v.mid())}
	t.AtBlank = p.onBlank(i, t.At)
	return t, true
}

// notThrough drops the stretches of a crossing that lead through an opening one
// of the two is tucked into, a rim of it included: how well it passes is the
// join's matter.
func (p *Posed) notThrough(q pair, x *crossing, shared []interval) []interval {
	for _, w := range p.through[q] {
		at, dir := x.inFrame(&p.stands[p.index[w.Panel]])
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
