package fold

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Folded is one piece in all its poses, in the order of the design. It is not
// changed once it is made.
type Folded struct {
	Piece *model.Piece
	Poses []*Pose
	// LeftOut names the panels that stay out of every pose but the flat one: those
	// beyond a curved hinge and bent panels with all that hangs on them.
	LeftOut []LeftOut
}

// LeftOut is a panel left out of poses, and why.
type LeftOut struct {
	Panel *model.Panel
	Hinge *model.Hinge // the curved hinge it lies beyond; nil when a bent panel is the cause
}

// Pose is one piece in one pose. The slices run parallel to the piece's Panels
// and Hinges and are not to be changed.
type Pose struct {
	Pose   *model.Pose
	Place  []Placement
	Angles []HingeAngle
	Faults []Fault

	motion *Motion
}

// Placement is where a panel stands: its frame in the world. OK is false for a
// panel that a fold which was not found, or a curved hinge, leaves nowhere.
type Placement = model.Placement

// HingeAngle is a hinge's fold angle as it is told: in degrees, for reports write
// the number that the script gives, and degrees → radians → degrees does not
// bring the last digit back. So the field bears its unit and there is no other;
// who computes makes a geom.Angle of it by geom.Degrees.
type HingeAngle struct {
	Degrees geom.Degrees // −180…180, positive toward the inside
	OK      bool         // false when no angle was found
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

// Fault is one thing that went wrong in a pose, told once per system of loops
// that share unknown folds.
type Fault struct {
	Kind    FaultKind
	Hinge   *model.Hinge   // the closing hinge, or the free hinge, it shows at
	Gap     float64        // mm, for LoopOpen and LoopUnsolved; 0 where no search was made
	Missing int            // for LoopLoose
	Free    []*model.Hinge // the free hinges of the loops, in the piece's order
	Round   []*model.Panel // the panels round the loops, likewise

	// Other are free hinges that would close a LoopUnsolved by folding to the
	// other side; nil when that does not help.
	Other []*model.Hinge
	// Unmoved are free hinges that would have to stay flat to close a
	// LoopUnsolved, and so fold to neither side.
	Unmoved []*model.Hinge
	// Several reports that a LoopUnsolved stands at a singular configuration
	// where its folds can go more than one way.
	Several bool
	// Near and NearDegrees say, where Several stands, a free fold and an angle to
	// look near with which the system has one solution; nil when none was found.
	Near        *model.Hinge
	NearDegrees geom.Degrees
	// Rigid reports that the creases of a LoopUnsolved meet in a vertex that does not
	// fold at all: with one of them given, the others find no angles on any side.
	Rigid bool
	// NoSides reports that other sides were tried for a LoopUnsolved, all of them,
	// and close it no more than those asked for.
	NoSides bool
	// Reached is the share of the given folds up to which a LoopUnsolved can be
	// folded from flat, 0 where it does not set out. Until is the one given fold
	// that ends the motion and UntilDegrees an angle that it can be given; nil when
	// there are several.
	Reached      float64
	Until        *model.Hinge
	UntilDegrees geom.Degrees
	// Cures are given folds of a LoopOpen any of which alone, turned otherwise, would
	// close it, the least change first. What else it moves is not looked at.
	Cures []Turn
}

// Turn is a hinge and an angle to fold it to.
type Turn struct {
	Hinge   *model.Hinge
	Degrees geom.Degrees
}

// OpenLimit is how far, in mm, given folds may leave a loop open: rounding a
// fold to a hundredth of a degree moves the rim of a 250 mm panel this much.
const OpenLimit = 0.05

// Fold folds a piece to each of the poses that concern it. "closed" comes before
// the poses that build on it: free folds that a pose does not decide keep their
// closed angle. It stops soon after its context ends and then returns the
// context's cause, its only error.
func Fold(ctx context.Context, piece *model.Piece, poses []*model.Pose) (*Folded, error) {
	m, err := newMechanism(ctx, piece)
	if err != nil {
		return nil, err
	}
	out := &Folded{Piece: piece, LeftOut: m.leftOut()}
	var closed map[*model.Free]float64
	for _, p := range poses {
		if !concerns(p, piece) {
			continue
		}
		motion, err := m.fold(ctx, p, closed)
		if err != nil {
			return nil, err
		}
		if p.Name == model.PoseClosed {
			closed = motion.end.foundFolds()
		}
		out.Poses = append(out.Poses, motion.pose)
	}
	return out, nil
}

// concerns reports whether a pose speaks of the piece: it names one of its
// hinges, or none of any piece's.
func concerns(p *model.Pose, piece *model.Piece) bool {
	if len(p.FoldDegrees) == 0 {
		return true
	}
	for _, h := range piece.Hinges {
		if _, ok := p.FoldDegrees[h]; ok {
			return true
		}
	}
	return false
}

// fold solves one pose and keeps the way it was reached.
func (m *mechanism) fold(ctx context.Context, pose *model.Pose, closed map[*model.Free]float64) (*Motion, error) {
	c := newConfiguration(ctx, newProblem(ctx, m, pose, closed))
	// What the pose asks, the values that satisfy it, and how they were found.
	motion := &Motion{end: c, solutions: make([]solution, len(c.systems)), detours: make([]detour, len(c.systems))}
	faults := c.solve(motion.solutions)
	motion.pose = c.result(faults)
	motion.pose.motion = motion
	// Once the context has ended, what was found so far means nothing.
	return motion, context.Cause(ctx)
}

// result gives a configuration as a pose: forward kinematics from the root.
func (s *configuration) result(faults []Fault) *Pose {
	out := &Pose{Pose: s.pose, Faults: faults, Angles: make([]HingeAngle, len(s.joints)), Place: make([]Placement, len(s.panels))}
	for i := range s.joints {
		out.Angles[i] = s.degrees(i)
	}
	// Parents come before their children in the tree.
	out.Place[s.root] = Placement{RigidTransform: geom.Identity3(), OK: s.placeable[s.root] || s.flat}
	for _, i := range s.tree {
		if s.stopped() {
			break
		}
		j := &s.joints[i]
		from := &out.Place[j.a]
		if from.OK && s.known(i) && (s.placeable[j.b] || s.flat) {
			out.Place[j.b] = Placement{RigidTransform: j.transform(s.angle(i)).Then(from.RigidTransform).Orthonormalize(), OK: true}
		}
	}
	return out
}
