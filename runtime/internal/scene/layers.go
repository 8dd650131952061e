package scene

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/disjoint"
)

// lift draws the layers of stacks apart. A plate that lies In layers from the
// outside is displaced by
//
//	lift = −Out · In · min(LayerSpacing, LayerSpacing · maxSpread / deepest)
//
// with Out the unit vector out of the stack and deepest the largest |In| of the
// piece. Plates joined by a hinge that is flat in this pose are given the same lift
// where nothing lies between, so that they stay joined; at other hinges a gap as
// wide as the difference of their lifts can open. Stacks held by a hinge are turned
// about it instead of displaced (see place). When the context has ended plates are
// left where they are.
func (s *Scene) lift(ctx context.Context, hinges []placedHinge) {
	if s.in.Layers == nil {
		return
	}
	deepest := 0
	for _, b := range s.plates {
		in := s.in.Layers[b.index].In
		deepest = max(deepest, in, -in)
	}
	spacing := LayerSpacing(s.in.Blank)
	if deepest > maxSpread {
		spacing *= maxSpread / float64(deepest)
	}
	for _, b := range s.plates {
		l := s.in.Layers[b.index]
		b.lift = l.Out.Mul(-spacing * float64(l.In))
	}
	s.joinFlat(ctx, hinges)
	for _, k := range s.stacks(ctx, hinges) {
		k.place(hinges)
	}
}

// joinFlat gives the plates on either side of a flat hinge the larger of their two
// lifts, until no hinge changes any. Each change makes a lift longer and takes it
// from the finite set of lifts that are there already, so the loop ends.
func (s *Scene) joinFlat(ctx context.Context, hinges []placedHinge) {
	for moved := true; moved; {
		moved = false
		for _, h := range hinges {
			a, b := h.parent, h.child
			if ctx.Err() != nil {
				return
			}
			if h.folded || a.lift == b.lift {
				continue
			}
			if a.lift.Len() > b.lift.Len() {
				a, b = b, a
			}
			if a.lift.Len() < b.lift.Len() && s.mayLift(a, b.lift) {
				a.lift, moved = b.lift, true
			}
		}
	}
}

// mayLift reports whether a lift leaves a plate on the same side of every plate
// that is stacked on it. The sides are signs of heights along the plate's normal; a
// height within depthTolerance of 0, before or after, is on neither side. Other
// heights are differences of a caliper and whole layers, some 10⁸ times what
// rounding adds to them, so rounding changes no answer.
func (s *Scene) mayLift(a *plate, lift geom.Point3) bool {
	n, back := a.place.Normal(), a.place.Inverse()
	for _, c := range s.plates {
		high, ok := s.stackedOn(c, a, back)
		if c == a || !ok {
			continue
		}
		high += c.lift.Dot(n)
		was, is := high-a.lift.Dot(n), high-lift.Dot(n)
		if was*is < 0 || min(math.Abs(was), math.Abs(is)) <= depthTolerance {
			return false
		}
	}
	return true
}

// stackedOn reports whether c lies on a, and how high above it in mm along a's
// normal; back takes the world to the frame of a. Both are taken where they stand
// without lifts. By tolerance: the planes are parallel within parallelCosine, the
// boxes share more than depthTolerance either way, and the planes are no further
// apart than a caliper and depthTolerance. Boxes stand for shapes, so plates count
// whose boxes alone overlap; at worst a plate then keeps a lift that it could have
// changed, or two stacks are turned as one.
func (s *Scene) stackedOn(c, a *plate, back geom.RigidTransform) (high float64, ok bool) {
	if !parallel(a, c) {
		return 0, false
	}
	box, high := c.seenFrom(back)
	return high, overlap(box, a.box()) && math.Abs(high) <= s.in.Blank.Piece.Board.Caliper+depthTolerance
}

// box is the bounding box of the board in the panel's frame.
func (b *plate) box() geom.Box {
	box := geom.EmptyBox()
	for _, r := range b.rings {
		box = box.Union(geom.BoxOf(r...))
	}
	return box
}

// seenFrom is the bounding box of the board in another plate's frame and the height
// of its plane there, in mm, lifts left out; the two planes must be parallel.
func (b *plate) seenFrom(back geom.RigidTransform) (box geom.Box, high float64) {
	to := b.place.Then(back)
	box = geom.EmptyBox()
	for _, r := range b.rings {
		for _, p := range r {
			box = box.Add(to.Apply(p.Space()).Plane())
		}
	}
	return box, to.T.Z
}

// overlap reports whether two boxes share more than a line: more than depthTolerance
// in x and in y.
func overlap(a, b geom.Box) bool {
	c := intersection(a, b)
	return c.Width() > depthTolerance && c.Height() > depthTolerance
}

// stack is a set of plates that are moved together: connected by lying on one
// another or by flat hinges.
type stack []*plate

// stacks partitions the plates that have a lift into stacks: the connected
// components under stackedOn and flat hinges, in order of their first plates.
func (s *Scene) stacks(ctx context.Context, hinges []placedHinge) []stack {
	sets := disjoint.New(len(s.in.Blank.Regions)) // by panel
	var lifted []*plate
	for _, b := range s.plates {
		if b.lift != (geom.Point3{}) {
			lifted = append(lifted, b)
		}
	}
	first := func(b *plate) int { return sets.First(b.index) }
	join := func(a, b *plate) { sets.Join(a.index, b.index) }
	for i, a := range lifted {
		if ctx.Err() != nil {
			return nil
		}
		back := a.place.Inverse()
		for _, c := range lifted[:i] {
			if first(a) == first(c) {
				continue
			}
			if _, ok := s.stackedOn(c, a, back); ok {
				join(a, c)
			}
		}
	}
	for _, h := range hinges {
		if !h.folded && h.parent.lift == h.child.lift && h.parent.lift != (geom.Point3{}) {
			join(h.parent, h.child)
		}
	}
	out := make([]stack, len(sets))
	for _, b := range lifted {
		out[first(b)] = append(out[first(b)], b)
	}
	return slices.DeleteFunc(out, func(k stack) bool { return len(k) == 0 })
}

// place moves the plates of a stack. If a hinge holds one of them to a plate outside
// the stack, all are turned about that hinge, which so stays closed, each by
// atan(lift/reach): the lift is reached at the edge furthest from the hinge. Lifts
// are scaled down by a common factor where the largest angle would exceed maxTilt.
// All turn about one line, in the order of their lifts, so none passes through
// another. Without such a hinge each plate is displaced by its lift.
func (k stack) place(hinges []placedHinge) {
	a, ok := k.axis(hinges)
	share := min(1, maxTilt*a.reach/k.furthest())
	for _, b := range k {
		if !ok {
			b.place.T = b.place.T.Add(b.lift)
			continue
		}
		b.lift = b.lift.Mul(share)
		turn := geom.RotationAbout(a.at, a.across.Cross(b.lift), geom.Pt(a.reach, b.lift.Len()).Angle())
		b.place = b.place.Then(turn)
	}
}

// furthest is the length of the longest lift in the stack, in mm.
func (k stack) furthest() float64 {
	far := 0.0
	for _, b := range k {
		far = max(far, b.lift.Len())
	}
	return far
}

// axis is a line that a stack is turned about.
type axis struct {
	at     geom.Point3 // a point of it, in the world
	across geom.Point3 // unit, square to it, along the plates and away from it
	reach  float64     // largest distance of the plates from it, mm
}

// axis picks the hinge of the plate with the longest lift, of several the longest
// hinge. It must hold the plate to one outside the stack that has no lift itself
// and is not parallel to it.
func (k stack) axis(hinges []placedHinge) (best axis, ok bool) {
	far, long := 0.0, 0.0
	for _, h := range hinges {
		for _, pair := range [...][2]*plate{{h.parent, h.child}, {h.child, h.parent}} {
			b, holder := pair[0], pair[1]
			if !slices.Contains(k, b) || parallel(b, holder) || holder.lift != (geom.Point3{}) {
				continue
			}
			lift := b.lift.Len()
			if lift < far || lift == far && h.Length <= long {
				continue
			}
			if a, fits := k.axisAlong(h, b); fits {
				best, ok, far, long = a, true, lift, h.Length
			}
		}
	}
	return best, ok
}

// axisAlong is the axis along a hinge of plate b. ok is false where windows have
// left none of it, where it is curved, and where the stack lies on both sides of it
// by more than depthTolerance or on neither.
func (k stack) axisAlong(h placedHinge, b *plate) (a axis, ok bool) {
	if len(h.Curves) == 0 {
		return axis{}, false
	}
	for _, c := range h.Curves {
		if c.Kind != geom.Line {
			return axis{}, false
		}
	}
	p, q := b.world(h.Curves[0].P), b.world(h.Curves[0].Q)
	a = axis{at: p, across: b.out.Cross(q.Sub(p)).Unit()}
	low, high := k.span(a)
	if high < -low {
		a.across, low, high = a.across.Mul(-1), -high, -low
	}
	a.reach = high
	return a, low > -depthTolerance && high > depthTolerance
}

// span is the least and greatest distance of the stack from an axis, in mm along
// its direction across.
func (k stack) span(a axis) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, b := range k {
		for _, p := range b.hull {
			d := b.place.Apply(p.Space()).Sub(a.at).Dot(a.across)
			low, high = min(low, d), max(high, d)
		}
	}
	return low, high
}
