package scene

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// lift moves every board a hair in for each layer, leaning where a hinge holds
// it. Panels that continue one another in one plane, joined by a hinge that is
// flat in this pose, are given the same layer where nothing lies between, so that
// they stay joined; at other hinges the gap is no more than the layers are. When
// the context ends boards are left where they are.
func (s *Scene) lift(ctx context.Context, hinges []hinged) {
	if s.in.Layers == nil {
		return
	}
	hair := Hair(s.in.Blank)
	for _, b := range s.boards {
		l := s.in.Layers[b.index]
		b.lift = l.Out.Mul(-hair * float64(l.In))
	}
	s.joinFlat(ctx, hinges)
	for _, k := range s.stacks(ctx, hinges) {
		k.settle(hinges)
	}
}

// joinFlat lifts panels along with those they continue. Lifts only grow, and
// only to ones that are there already, so this ends.
func (s *Scene) joinFlat(ctx context.Context, hinges []hinged) {
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
func (s *Scene) mayLift(a *sheet, lift geom.Point3) bool {
	n, back := a.place.Normal(), a.place.Inverse()
	for _, c := range s.boards {
		high, ok := s.liesOn(c, a, back)
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

// liesOn reports whether c lies on a, and how high above it; back takes the
// world to the frame of a. Both are where they would stand without layers.
func (s *Scene) liesOn(c, a *sheet, back geom.RigidTransform) (high float64, ok bool) {
	if !parallel(a, c) {
		return 0, false
	}
	box, high := c.seenFrom(back)
	return high, overlap(box, a.box()) && math.Abs(high) <= s.in.Blank.Piece.Board.Caliper+flush
}

// box is the box round the board in its own frame.
func (b *sheet) box() geom.Box {
	box := geom.EmptyBox()
	for _, r := range b.rings {
		box = box.Union(geom.BoxOf(r...))
	}
	return box
}

// seenFrom is the box round the board in another's frame, and the height of its
// plane there, lifts apart; the two must be parallel.
func (b *sheet) seenFrom(back geom.RigidTransform) (box geom.Box, high float64) {
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
	c := common(a, b)
	return c.Width() > flush && c.Height() > flush
}
