package contact

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Resize is a change of one panel's size that would close a join by itself:
// the panel grows by By mm (negative: shrinks) square to Edge, so that all that
// hangs beyond that edge moves outward. Across is the panel's other hinge or
// edge, from which it grows.
type Resize struct {
	Panel        *model.Panel
	Edge, Across string
	By           float64
	Left         float64 // what would be left of the gap, mm
}

// closes is the gap, in mm, that a resize may leave: a tenth of what makes a
// join fail.
const closes = 0.05

// dimension is a size of a panel that takes part in how two panels lie: how
// the far side moves, in the world, as the size grows.
type dimension struct {
	panel        *model.Panel
	edge, across string
	size         float64     // between the two edges, mm; +Inf where they are not parallel
	grow         geom.Point3 // what A's side moves by for each mm
}

// told is the change with which the size becomes what a message says: hundredths.
// A change that only just closes a join, as one that lifts a tuck off the plane
// of its opening, does not survive that.
// Half a hundredth goes away from nought (math.Round).
func (d dimension) told(by float64) float64 {
	const steps = 100 // in a millimetre
	size := d.size
	if math.IsInf(size, 0) {
		size = 0
	}
	return math.Round((size+by)*steps)/steps - size
}

// resizes finds the panels between the two of a join whose size explains its
// gap. Folds are held as they are, so that a size moves all beyond it bodily. A
// change that would leave nothing of a panel is none.
func (p *joints) resizes(j *model.Join) []Resize {
	var out []Resize
	if p.miss(j, geom.Point3{}, asAsked).To == Stopped {
		return nil // another size moves the tongue, and not what is in its way
	}
	for _, d := range p.dimensions(j) {
		if p.ctx.Err() != nil {
			return nil
		}
		by := p.bestSize(j, d)
		open := func(by float64) float64 { return max(0, p.miss(j, d.grow.Mul(by), exactly).Raw-j.Gap) }
		left := open(by)
		if !Exceeds(left, closes) && !Exceeds(open(d.told(by)), closes) && by != 0 && d.size+by >= geom.MinSize {
			out = append(out, Resize{d.panel, d.edge, d.across, by, left})
		}
	}
	slices.SortStableFunc(out, func(r, s Resize) int { return s.Panel.Index - r.Panel.Index })
	return out
}

// bestSize is the least change of a size that brings a join to its asked gap,
// or as near as it can. The distance from a convex target is a convex function
// of the change; the golden section finds its least value and halving the
// least change that reaches it.
func (p *joints) bestSize(j *model.Join, d dimension) float64 {
	f := func(by float64) float64 { return p.miss(j, d.grow.Mul(by), exactly).Raw }
	// The gap shrinks by no more than a mm for each mm of size, and by a quarter as much at least
	// where the size is of any use.
	span := 4 * f(0)
	lo, hi := -span, span
	const golden = 1 / math.Phi
	// 0.618⁷⁰ is 2·10⁻¹⁵: to the last digit.
	for range 70 {
		if p.ctx.Err() != nil {
			return 0
		}
		l, h := hi-(hi-lo)*golden, lo+(hi-lo)*golden
		if f(l) < f(h) {
			hi = h
		} else {
			lo = l
		}
	}
	far := (lo + hi) / 2
	goal := max(j.Gap, f(far)) + geom.Tiny
	_, least := geom.Bisect(0, far, func(size float64) bool { return p.ctx.Err() == nil && f(size) > goal })
	if p.ctx.Err() != nil {
		return 0
	}
	return least
}

// dimensions lists the sizes of panels along the tree between the two of a
// join.
// Closing hinges are no part of the tree.
func (p *Posed) dimensions(j *model.Join) []dimension {
	up, down := between(j.A.Panel, j.B.Panel)
	var out []dimension
	// Hinges from A to B; each panel between lies between two of them.
	chain := append(slices.Clone(up), down...)
	for i := 1; i < len(chain); i++ {
		panel := shared(chain[i-1], chain[i])
		out = p.across(out, panel, edgeOf(chain[i-1], panel), edgeOf(chain[i], panel))
	}
	if len(chain) == 0 {
		return out
	}
	// An edge that should meet the other end lies across its panel from the hinge
	// it hangs by.
	if j.A.Edge != nil {
		out = p.across(out, j.A.Panel, *j.A.Edge, edgeOf(chain[0], j.A.Panel))
	}
	if j.B.Edge != nil {
		out = p.across(out, j.B.Panel, edgeOf(chain[len(chain)-1], j.B.Panel), *j.B.Edge)
	}
	// What should pass through an opening or a slit, or be held in part, reaches as
	// far as it is long.
	if j.B.IsThrough() || j.Reach > 0 {
		out = p.outward(out, j.A.Panel, edgeOf(chain[0], j.A.Panel))
	}
	return out
}

// outward adds the size of a panel from the edge it hangs by to the one that
// looks the other way, if there is one; it grows at that far one.
func (p *Posed) outward(out []dimension, panel *model.Panel, by model.EdgeRef) []dimension {
	for i, e := range panel.Outline.Edges {
		tip := model.EdgeRef{Panel: panel, Name: e.Name, Index: i, To: e.Length()}
		if e.Kind == geom.Line && e.Tangent(0).Dot(by.Curve().Tangent(0)) < -1+geom.SmoothSine {
			n := len(out)
			out = p.across(out, panel, tip, by)
			for k := n; k < len(out); k++ {
				out[k].edge, out[k].across = tip.Name, by.Name
			}
			return out
		}
	}
	return out
}

// across adds the sizes of a panel between the edge toward A and the edge
// toward B: one where the two are parallel, else one square to each.
func (p *Posed) across(out []dimension, panel *model.Panel, a, b model.EdgeRef) []dimension {
	place := p.Pose.Place[p.index[panel]]
	ca, cb := a.Curve(), b.Curve()
	if !place.OK || ca.Kind != geom.Line || cb.Kind != geom.Line {
		return out
	}
	outA, outB := ca.Tangent(0).Left().Mul(-1), cb.Tangent(0).Left().Mul(-1)
	size := math.Abs(cb.P.Sub(ca.P).Dot(outB))
	switch alike := math.Abs(outA.Cross(outB)) < geom.SmoothSine; {
	case alike && outA.Dot(outB) > 0:
		return out // both on one side: the size moves them together
	case !alike:
		size = math.Inf(1)
		out = append(out, dimension{panel, a.Name, b.Name, size, place.ApplyDir(outA.Space())})
	}
	// B's side growing away is A's side staying behind.
	return append(out, dimension{panel, b.Name, a.Name, size, place.ApplyDir(outB.Space()).Mul(-1)})
}

// between lists the hinges from a up to the first panel that holds b too, and
// from there down to b.
// up runs from a, down toward b.
func between(a, b *model.Panel) (up, down []*model.Hinge) {
	// Depth in the tree; the deeper of the two climbs until both are one.
	depth := func(q *model.Panel) (n int) {
		for ; q.Hang != nil; q = q.Hang.Parent {
			n++
		}
		return n
	}
	da, db := depth(a), depth(b)
	for a != b {
		if da >= db {
			up, a, da = append(up, a.Hang), a.Hang.Parent, da-1
		} else {
			down, b, db = append(down, b.Hang), b.Hang.Parent, db-1
		}
	}
	slices.Reverse(down)
	return up, down
}

// shared is the panel that two hinges next to each other on a walk both join.
func shared(g, h *model.Hinge) *model.Panel {
	if g.Parent == h.Parent || g.Parent == h.Child {
		return g.Parent
	}
	return g.Child
}

// edgeOf is the edge by which a hinge joins a panel.
func edgeOf(h *model.Hinge, panel *model.Panel) model.EdgeRef {
	if h.Parent == panel {
		return h.On
	}
	return h.By
}
