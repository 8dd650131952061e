// Package fold puts the panels of a piece into space: for each pose it works
// out every fold angle, the unknown ones by closing loops and holding joins,
// and places each panel by the product of hinge turns from the root. It knows
// nothing of contact, pictures or files, and it words no findings: what went
// wrong is returned as plain Faults.
package fold

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Folded is one piece in all its poses, in the order of the design.
type Folded struct {
	Piece *model.Piece
	Poses []*Pose
	// Left names the panels that stay out of every pose but the flat one: those
	// beyond a curved hinge and bent panels with all that hangs on them.
	Left []Left
}

// Left is a panel left out of poses, and why.
type Left struct {
	Panel *model.Panel
	Hinge *model.Hinge // the curved hinge it lies beyond; nil when a bent panel is the cause
}

// Pose is one piece in one pose. The slices run parallel to the piece's Panels
// and Hinges.
type Pose struct {
	Pose   *model.Pose
	Place  []Placed
	Angles []Angle
	Faults []Fault
}

// Placed is where a panel stands: its frame in the world. OK is false for a
// panel that a fold which was not found, or a curved hinge, leaves nowhere.
type Placed struct {
	geom.RigidTransform
	OK bool
}

// Angle is a hinge's fold angle in degrees; OK is false when none was found.
type Angle struct {
	Degrees float64
	OK      bool
}

// FaultKind says what kept a pose from being found.
type FaultKind uint8

// Kinds of fault.
const (
	// LoopOpen: the given folds leave a loop open by Gap mm.
	LoopOpen FaultKind = iota
	// LoopLoose: Missing more folds must be given before the loop has one shape.
	LoopLoose
	// LoopUnsolved: no folds on the asked sides close the loop, or several do
	// and nothing says which.
	LoopUnsolved
)

// Fault is one thing that went wrong in a pose, told once per group of loops
// that share unknown folds.
type Fault struct {
	Kind    FaultKind
	Hinge   *model.Hinge   // the closing hinge, or the free hinge, it shows at
	Gap     float64        // mm, for LoopOpen and LoopUnsolved
	Missing int            // for LoopLoose
	Free    []*model.Hinge // the free hinges of the loops, in the piece's order
	Round   []*model.Panel // the panels round the loops, likewise

	// Other are free hinges that would close a LoopUnsolved by folding to the
	// other side; nil when that does not help.
	Other []*model.Hinge
	// Unmoved are free hinges that would have to stay flat to close a
	// LoopUnsolved, and so fold to neither side.
	Unmoved []*model.Hinge
	// Several reports that a LoopUnsolved stands at a spot where its folds can
	// go more than one way.
	Several bool
	// Cure is a hinge that would close a LoopOpen if its given fold were
	// CureDegrees; nil when no single one would.
	Cure        *model.Hinge
	CureDegrees float64
}

// OpenLimit is how far, in mm, given folds may leave a loop open: rounding a
// fold to a hundredth of a degree moves the rim of a 250 mm panel this much.
const OpenLimit = 0.05

// Fold folds a piece to each of the poses that concern it; "closed" comes before
// the poses that build on it. It stops soon after its context ends and then
// returns the context's error.
func Fold(ctx context.Context, piece *model.Piece, poses []*model.Pose) (*Folded, error) {
	l, err := newLinkage(ctx, piece)
	if err != nil {
		return nil, err
	}
	out := &Folded{Piece: piece, Left: l.left()}
	for _, p := range poses {
		if !concerns(p, piece) {
			continue
		}
		pose, err := l.fold(ctx, p)
		if err != nil {
			return nil, err
		}
		out.Poses = append(out.Poses, pose)
	}
	return out, nil
}

// concerns reports whether a pose speaks of the piece: it names one of its
// hinges, or none of any piece's.
func concerns(p *model.Pose, piece *model.Piece) bool {
	if len(p.Folds) == 0 {
		return true
	}
	for _, h := range piece.Hinges {
		if _, ok := p.Folds[h]; ok {
			return true
		}
	}
	return false
}

// fold works out one pose.
func (l *linkage) fold(ctx context.Context, p *model.Pose) (*Pose, error) {
	s := newState(ctx, l, p)
	faults := s.solve()
	out := &Pose{Pose: p, Faults: faults, Angles: make([]Angle, len(l.joints))}
	for i := range l.joints {
		out.Angles[i] = s.degrees(i)
	}
	out.Place = l.place(s)
	// Once the context has ended, what was found so far means nothing.
	return out, context.Cause(ctx)
}

// place multiplies the turns out from the root.
func (l *linkage) place(s *state) []Placed {
	out := make([]Placed, len(l.panels))
	out[l.root] = Placed{geom.Identity3(), l.reach[l.root] || s.allFlat}
	for _, i := range l.order {
		if s.stopped() {
			break
		}
		j := &l.joints[i]
		if !out[j.a].OK || !s.known(i) || (!l.reach[j.b] && !s.allFlat) {
			continue
		}
		out[j.b] = Placed{j.carry(s.angle(i)).Then(out[j.a].RigidTransform).Orthonormalize(), true}
	}
	return out
}
