package scene

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/disjoint"
)

// lift moves every board a hair in for each layer, less in a deep stack, leaning
// where a hinge holds it. Panels that continue one another in one plane, joined by a hinge that is
// flat in this pose, are given the same layer where nothing lies between, so that
// they stay joined; at other hinges the gap is no more than the layers are. When
// the context ends boards are left where they are.
func (s *Scene) lift(ctx context.Context, hinges []placedHinge) {
	if s.in.Layers == nil {
		return
	}
	deepest := 0
	for _, b := range s.plates {
		in := s.in.Layers[b.index].In
		deepest = max(deepest, in, -in)
	}
	hair := LayerSpacing(s.in.Blank)
	if deepest > maxSpread {
		hair *= maxSpread / float64(deepest)
	}
	for _, b := range s.plates {
		l := s.in.Layers[b.index]
		b.lift = l.Out.Mul(-hair * float64(l.In))
	}
	s.joinFlat(ctx, hinges)
	for _, k := range s.stacks(ctx, hinges) {
		k.place(hinges)
	}
}

// joinFlat lifts panels along with those they continue. Lifts only grow, and
// only to ones that are there already, so this ends.
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

// mayLift reports whether a lift leaves a board on the same side of every
// board that lies on it.
func (s *Scene) mayLift(a *plate, lift geom.Point3) bool {
	n, back := a.place.Normal(), a.place.Inverse()
	for _, c := range s.plates {
		high, ok := s.stackedOn(c, a, back)
		if c == a || !ok {
			continue
		}
		high += c.lift.Dot(n)
		if was, is := high-a.lift.Dot(n), high-lift.Dot(n); was*is <= 0 {
			return false
		}
	}
	return true
}

// stackedOn reports whether c lies on a, and how high above it; back takes the
// world to the frame of a. Both are where they would stand without layers.
func (s *Scene) stackedOn(c, a *plate, back geom.RigidTransform) (high float64, ok bool) {
	if !parallel(a, c) {
		return 0, false
	}
	box, high := c.seenFrom(back)
	return high, overlap(box, a.box()) && math.Abs(high) <= s.in.Blank.Piece.Board.Caliper+depthTolerance
}

// box is the box round the board in its own frame.
func (b *plate) box() geom.Box {
	box := geom.EmptyBox()
	for _, r := range b.rings {
		box = box.Union(geom.BoxOf(r...))
	}
	return box
}

// seenFrom is the box round the board in another's frame, and the height of its
// plane there, lifts apart; the two must be parallel.
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

// overlap reports whether two boxes share more than a line.
func overlap(a, b geom.Box) bool {
	c := intersection(a, b)
	return c.Width() > depthTolerance && c.Height() > depthTolerance
}

// stack is boards that leave their places together, as some lie on others or
// continue them.
type stack []*plate

// stacks groups the boards that have a lift.
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

// place moves a stack's boards: they lean about a hinge that holds one of them
// to board outside the stack, so that it stays closed, each as far as its layer
// asks for where the stack reaches furthest. All lean about the same line, so
// none passes through another. Where there is no such hinge they move as they
// are.
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

// furthest is the largest lift of a board of the stack.
func (k stack) furthest() float64 {
	far := 0.0
	for _, b := range k {
		far = max(far, b.lift.Len())
	}
	return far
}

// axis is a line to lean about: where it is, the way from it over the boards,
// unit, and how far these reach.
type axis struct {
	at, across geom.Point3
	reach      float64
}

// axis picks the hinge of the board that leaves its place furthest, the longest
// if there are several.
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

// axisAlong is the axis along a hinge of board b, if windows have left any of it, it
// is straight and the whole stack lies on one side of it.
func (k stack) axisAlong(h placedHinge, b *plate) (axis, bool) {
	if len(h.Curves) == 0 {
		return axis{}, false
	}
	for _, c := range h.Curves {
		if c.Kind != geom.Line {
			return axis{}, false
		}
	}
	p, q := b.world(h.Curves[0].P), b.world(h.Curves[0].Q)
	a := axis{at: p, across: b.out.Cross(q.Sub(p)).Unit()}
	low, high := k.span(a)
	if high < -low {
		a.across, low, high = a.across.Mul(-1), -high, -low
	}
	a.reach = high
	return a, low > -depthTolerance && high > depthTolerance
}

// span is how far the stack reaches across a line, to either side.
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
