package contact

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Measure says what a gap was measured to.
type Measure uint8

// What gaps are measured to.
const (
	ToEdge    Measure = iota // from an edge's end to the other edge
	ToPanel                  // from a point of a panel to the panel it should lie on
	ToOpening                // from a point of a panel to the opening or slit it should pass through
	Moved                    // from where a point of a panel lay on its target in "closed"
	Held                     // from how much of a panel lies along the other to how much is asked for
	Stopped                  // how much of a tongue's width meets board where it should go through
	Lengths                  // between the lengths of two edges, where a bent panel has one; no places in space
	Places                   // between the places of two joins along edges, where a bent panel has one; none in space
)

// Gap is how far one join stands open in a pose that requires it. Lengths are
// mm.
type Gap struct {
	Join *model.Join
	Size float64 // beyond the gap asked for, never below 0
	Miss
	// Resizes are the ways in which one panel alone, made larger or smaller,
	// would close the join, later panels first; see Resize.
	Resizes []Resize
}

// Miss is the worst place of a join and what it misses.
type Miss struct {
	To    Measure
	Raw   float64      // the whole distance, the gap asked for included
	Panel *model.Panel // the panel whose point is farthest off
	Edge  string       // the edge of the target next to it, "" when it has none

	Ends  [2]model.EdgeRef // for Lengths and Places: the edges compared, that of the join's A first
	From  *model.Join      // for Places: the join that the place is measured from
	Apart [2]float64       // for Places: how far it is from there along the bent edge and along the other outline

	By *model.Panel // for Stopped: the panel whose board most of it is

	At      geom.Point3 // the point, in the world
	AtBlank geom.Point  // the same in the blank frame
	Vector  geom.Point3 // from the target to the point; Raw long

	// The vector's parts, seen from the target: off its surface, positive
	// outside; beyond the edge, positive away from its board; along the edge,
	// positive in the edge's direction.
	Off, Beyond, Along float64
}

// Requires reports whether a join is measured in a pose: glue and tabs in every
// glued pose but "flat", edges and tucks in "closed" alone.
func (p *Posed) Requires(j *model.Join) bool {
	switch j.Kind {
	case model.MeetJoin, model.TuckJoin:
		return p.Closed()
	}
	return p.Pose.Pose.Glued && p.Pose.Pose.Name != model.PoseFlat
}

// Gaps measures every join that the pose requires, in the piece's order. In any
// glued pose but "closed" a glue's gap is how far its panel has moved on the
// target since closed, the piece's "closed" pose; closed may be nil when p is
// that pose. Joins of panels that have no place in a pose they are measured in
// are left out, but that edges to come together round a bent panel are measured along.
//
// A join that stands open by geom.SnapTolerance or less gets no Resizes, nor does any
// in a pose but "closed".
func (p *Posed) Gaps(ctx context.Context, closed *Posed) ([]Gap, error) {
	var out []Gap
	m := joints{p, ctx}
	places := missPlaces(p.Piece)
	for _, j := range p.Piece.Joins {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		// Round a bent panel lengths and places along the edges are all that is known.
		if miss, ok := missLength(j); ok && p.Requires(j) {
			if off, misplaced := places[j]; misplaced {
				miss = worse(miss, off)
			}
			out = append(out, Gap{Join: j, Size: max(0, miss.Raw-j.Gap), Miss: miss})
			continue
		}
		if !p.Requires(j) || !p.has(j) || !p.Closed() && !closed.has(j) {
			continue
		}
		g := Gap{Join: j}
		if p.Closed() {
			g.Miss = m.miss(j, geom.Point3{}, asAsked)
		} else {
			g.Miss = p.moved(j, closed)
		}
		if g.Size = max(0, g.Raw-j.Gap); g.Size > geom.SnapTolerance && p.Closed() {
			g.Resizes = m.resizes(j)
		}
		out = append(out, g)
	}
	return out, ended(ctx)
}

// joints measures the joins of a pose. What it gives is of no use once the
// context has ended.
type joints struct {
	*Posed
	ctx context.Context
}

// has reports whether both panels of a join have a place in the pose, if there
// is one.
func (p *Posed) has(j *model.Join) bool {
	return p != nil && p.Pose.Place[p.index[j.A.Panel]].OK && p.Pose.Place[p.index[j.B.Panel]].OK
}

// leave says how exactly a panel must lie on its target.
type leave bool

const (
	asAsked leave = true  // within a caliper, a rim beyond the outline forgiven
	exactly leave = false // on it
)

// miss measures a join with everything on A's side moved by a displacement.
// The displacement is in the world, mm. With no displacement it is the join as posed;
// others are used to search for a size (bestSize).
func (p *joints) miss(j *model.Join, move geom.Point3, l leave) Miss {
	a, b := p.index[j.A.Panel], p.index[j.B.Panel]
	switch {
	case j.Kind == model.MeetJoin:
		return p.missEdge(j, move)
	// Openings and slits are gone through, panels are lain on.
	case j.B.Window != nil:
		return p.missOpening(a, b, j.B.Window, move)
	case j.B.Slit != nil:
		return p.missSlit(a, b, j.B.Slit, move)
	case j.Reach > 0:
		return p.missHold(j, p.slab(j, l), move)
	}
	worst := p.missPanel(a, joined(j), b, p.slab(j, l), move)
	if h := j.A.Panel.Hang; j.B.Edge != nil && h != nil {
		hung := p.index[h.Parent]
		for _, q := range []geom.Point{h.Curve.P, h.Curve.Q} {
			worst = worse(worst, p.toEdge(hung, q, move, b, *j.B.Edge))
		}
	}
	return worst
}

// worse is the larger of two misses, the first of equals.
func worse(m, n Miss) Miss {
	if Exceeds(n.Raw, m.Raw) {
		return n
	}
	return m
}

// missEdge is the larger distance from an end of the shorter edge to the other.
// Only the ends are measured: for straight edges the distance from the other edge, a
// convex set, is largest at an end.
func (p *Posed) missEdge(j *model.Join, move geom.Point3) Miss {
	a, b := *j.A.Edge, *j.B.Edge
	// The longer edge may run past the shorter at either end.
	if b.Length() < a.Length()-geom.SnapTolerance {
		a, b, move = b, a, move.Mul(-1)
	}
	i, k := p.index[a.Panel], p.index[b.Panel]
	return worse(p.toEdge(i, a.End(), move, k, b), p.toEdge(i, a.Start(), move, k, b))
}

// toEdge is how far a point of panel i, moved, lies from an edge of panel k.
// The point is in panel i's frame, before the move. The nearest place of the edge is
// found in the plane of panel k, and the height over it is added (Pythagoras).
func (p *Posed) toEdge(i int, q geom.Point, move geom.Point3, k int, e model.EdgeRef) Miss {
	at := p.Pose.Place[i].Apply(q.Space())
	frame := p.Pose.Place[k].RigidTransform
	l := frame.Inverse().Apply(at.Add(move))
	c := e.Stretch()
	t, _ := c.Nearest(l.Plane())
	m := Miss{To: ToEdge, Edge: e.Name}
	p.fill(&m, i, at, frame, l, c.At(t).Space(), c.Tangent(t))
	return m
}

// fill completes a miss from the point at on panel i and, in the target's
// frame, the moved point, the nearest of the target and the direction of the
// edge there, board on its left.
// frame is the target's, to the world. At is the point before the move, and AtBlank
// the same; Vector and its parts are after it.
func (p *Posed) fill(m *Miss, i int, at geom.Point3, frame geom.RigidTransform, local, nearest geom.Point3, along geom.Point) {
	v := local.Sub(nearest)
	m.Panel, m.At, m.Raw, m.Vector = p.Piece.Panels[i], at, v.Len(), frame.ApplyDir(v)
	m.AtBlank = m.Panel.Flat.Apply(p.Pose.Place[i].Inverse().Apply(at).Plane())
	m.Off, m.Along, m.Beyond = v.Z, v.Plane().Dot(along), -v.Plane().Dot(along.Left())
}

// missLength is how far the lengths of two edges differ that should come together
// where a bent panel has one of them. Bending keeps lengths, whatever shape the
// panel takes, so they must agree; more is not known of it. A tab stands for the
// edge that it hangs on: all of that edge goes with all of its target, while a tab
// on a part of one, a tooth, may be shorter than its target. ok is false for other
// joins.
func missLength(j *model.Join) (m Miss, ok bool) {
	own, to, ok := bentEnds(j)
	if !ok {
		return Miss{}, false
	}
	// A tab on part of its edge stands for that part.
	tooth := j.Kind == model.TabJoin && Exceeds(own.Curve().Length(), own.Length()+geom.SnapTolerance)
	long, other := *own, *to
	if other.Length() > long.Length() {
		long, other = other, long
	}
	m = Miss{
		To: Lengths, Raw: long.Length() - other.Length(), Panel: long.Panel, Edge: other.Name,
		AtBlank: long.Panel.Flat.Apply(long.Stretch().At(0.5)), Ends: [2]model.EdgeRef{*own, *to},
	}
	if tooth && other == *own {
		m.Raw = 0
	}
	return m, true
}

// missOpening is how far panel i misses an opening of panel k that it should
// pass through: where its outline crosses the opening's plane, the largest
// distance of the crossing from the opening; where it does not reach that
// plane, the distance of its nearest point from the opening.
// A slab of no thickness and no rim stands for the opening, so that a place in its
// plane and inside its outline misses by nothing.
func (p *joints) missOpening(i, k int, w *model.Window, move geom.Point3) Miss {
	from, to := p.Pose.Place[i].RigidTransform, p.Pose.Place[k].RigidTransform
	carry := from.Then(geom.RigidTransform{R: geom.Identity3().R, T: move}).Then(to.Inverse())
	open := newTarget(p.ctx, w.Outline, slab{})
	loop := p.Piece.Panels[i].Outline.Flatten(Flatten)
	points := make([]geom.Point3, len(loop))
	for n, q := range loop {
		points[n] = carry.Apply(q.Space())
	}
	at, short := nearestTo(points)
	if !short {
		at = open.farthest(crossPoints(points))
	}
	v, edge := open.off(at)
	c := w.Outline.Edges[edge].Curve.Reverse() // board on the left
	t, _ := c.Nearest(at.Plane())
	m := Miss{To: ToOpening, Edge: w.Outline.Edges[edge].Name}
	p.fill(&m, i, from.Apply(carry.Inverse().Apply(at)), to, at, at.Sub(v), c.Tangent(t))
	return m
}

// nearestTo is the point of a chain nearest to the plane z = 0, and whether the
// chain falls short of it.
// A chain that touches the plane in a point does not fall short of it. Compared
// exactly: a chain that ends within rounding of the plane may go either way, and is
// measured at its nearest point or at the crossings beside it.
func nearestTo(points []geom.Point3) (at geom.Point3, short bool) {
	above, below := false, false
	at = points[0]
	for _, q := range points {
		above, below = above || q.Z >= 0, below || q.Z <= 0
		if math.Abs(q.Z) < math.Abs(at.Z) {
			at = q
		}
	}
	return at, !above || !below
}

// crossPoints lists where a closed chain passes through the plane z = 0, in the
// order of the chain. Signs are compared exactly: a point that rounding moves over
// the plane moves a crossing by as little, and the distance with it.
func crossPoints(points []geom.Point3) []geom.Point3 {
	var out []geom.Point3
	for i, q := range points {
		r := points[(i+1)%len(points)]
		switch {
		case q.Z == 0:
			out = append(out, q)
		// Linear between the two, so the crossing divides the side as their heights do.
		case q.Z*r.Z < 0:
			out = append(out, q.Lerp(r, q.Z/(q.Z-r.Z)))
		}
	}
	return out
}
