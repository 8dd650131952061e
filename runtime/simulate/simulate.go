// Package simulate folds the pieces of a laid design and measures them: for
// each piece and pose a State says where every panel stands, which panels cross
// or lie on one another, how far joins stand open and how the product fits. A
// State is a value of the design alone and does not change once made, so that
// the report, the pictures, the checks and programs of others share it, from
// several goroutines too. Nothing is judged here and nothing is worded.
//
// The package is not yet stable: names and fields may change.
package simulate

import (
	"cmp"
	"context"
	"iter"
	"maps"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/parallel"
	"github.com/creasewright/creasewright/runtime/model"
)

// What a State is made of. Lengths are millimetres, areas mm²; places in the
// world are in the frame of the piece's root panel.
type (
	// Placement is a rigid transform from a panel's frame to the world. OK is
	// false for a panel that a fold which was not found, a curved hinge or
	// bending leaves without a place.
	Placement = fold.Placement
	// Fold is the angle of a hinge in degrees; OK is false when none was found.
	Fold = fold.HingeAngle
	// Fault is what kept the folds of a pose from being found.
	Fault = fold.Fault
	// LeftOut is a panel that no pose but "flat" places, and why.
	LeftOut = fold.LeftOut
	// Penetration is two panels that cross: how deep, and where.
	Penetration = contact.Penetration
	// Layer is two panels that lie on one another, with the area of their common
	// ground and their distance.
	Layer = contact.Layer
	// Stack is panels that lie over one another in one plane, with the cells into
	// which that falls and the order of the panels in each.
	Stack = contact.Stack
	// Cell is a part of a stack over which the same panels lie.
	Cell = contact.Cell
	// Tangle is why the panels of a stack have no order.
	Tangle = contact.Tangle
	// Level is a panel's place among the panels that lie on one another: which
	// stack, and how many panels lie outside it there.
	Level = contact.Level
	// Sizes are the piece's sizes outside and inside.
	Sizes = contact.Sizes
	// Slot is a gap in a panel in which another stands.
	Slot = contact.Slot
	// Overlap is two panels that would share board, as it is as thick as it is.
	Overlap = contact.Overlap
	// Gap is how far a join stands open, and where.
	Gap = contact.Gap
	// HolesApart is two holes of glued panels that overlap only in part.
	HolesApart = contact.HolesApart
	// Cover is how well a glued panel finds board to be glued to.
	Cover = contact.Cover
	// Fit is how a product sits in the closed piece: where it stands, what it
	// does not clear, and how far it can move.
	Fit = contact.Fit
	// Vertex is a point inside the blank where creases meet that are all folded
	// flat or not at all.
	Vertex = contact.Vertex
)

// Piece is one piece, laid flat and folded to its poses.
type Piece struct {
	Piece *model.Piece
	Blank *blank.Blank
	// States are the piece's poses but "flat", in the order of the design, a
	// pose before those that build on it: "closed" comes first.
	States []*State
	// LeftOut lists the panels that take no part in any of them.
	LeftOut []LeftOut
}

// State is the piece in the pose of that name, nil when it has none.
func (p *Piece) State(pose string) *State {
	i := slices.IndexFunc(p.States, func(s *State) bool { return s.Pose.Name == pose })
	if i < 0 {
		return nil
	}
	return p.States[i]
}

// Standing is a product where it stands: Frame is its own frame in the world, as that of a Fit.
type Standing struct {
	Contents *model.Contents
	Frame    geom.RigidTransform
}

// Standing gives the products of the piece where they stand in one of its states: as found
// in its closed pose, carried along by the panels that they stand on. A piece that lies flat
// holds none.
func (p *Piece) Standing(in *State) []Standing {
	var out []Standing
	for _, closed := range p.States {
		for _, f := range closed.Fits {
			was, is := closed.Placement(f.Contents.Panel), in.Placement(f.Contents.Panel)
			switch {
			case closed == in:
				out = append(out, Standing{f.Contents, f.Frame})
			case was.OK && is.OK && !in.Flat:
				out = append(out, Standing{f.Contents, f.Frame.Then(was.Inverse()).Then(is.RigidTransform)})
			}
		}
	}
	return out
}

// State is one piece in one pose. Slices over panels and hinges run parallel to
// the piece's. They are shared and not to be changed.
type State struct {
	Piece *model.Piece
	Pose  *model.Pose
	// Progress is how far the piece is on its way from flat to the pose: 1 in
	// the pose itself, which all states of a Piece are in; see At.
	Progress float64

	Placements []Placement // of each panel
	Folds      []Fold      // of each hinge
	Faults     []Fault     // why some fold was not found

	Flat      bool // all panels have a place, within contact.FlatLimit of one plane
	Thickness int  // of a flat pose: the most panels over one spot; else 0

	Penetrations []Penetration // by A, then B
	Stacks       []Stack       // by the panel made first
	Levels       []Level       // of each panel
	Vertices     []Vertex      // in the pose itself, as all that follows
	Sizes        *Sizes        // in the pose "closed"; nil when no panel has a place
	Slots        []Slot        // in the pose "closed": narrower than what stands in them
	Overlaps     []Overlap     // deeper than contact.OverlapLimit
	Gaps         []Gap         // of the joins that the pose requires
	Covers       []Cover       // in the pose "closed": of every tab and glue
	HolesApart   []HolesApart  // in the pose "closed"
	Fits         []Fit         // in the pose "closed": of the contents that stand in the piece

	posed *contact.Posed
}

// Run folds the pieces of a design, in its order, from their blanks, and
// measures them in every pose but "flat". It gives the cause of the context's
// end once that has ended, and no other error.
func Run(ctx context.Context, d *model.Design, blanks []*blank.Blank) ([]*Piece, error) {
	out := make([]*Piece, len(d.Pieces))
	for i, p := range d.Pieces {
		folded, err := fold.Fold(ctx, p, d.Poses)
		if err != nil {
			return nil, err
		}
		out[i] = &Piece{Piece: p, Blank: blanks[i], LeftOut: folded.LeftOut}
		if out[i].States, err = states(ctx, d, blanks[i], folded); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Closed folds a piece of a design to the pose "closed" and gives the placements
// of its panels, by their places in the piece. A model.Builder asks for it (see
// CloseBy) to make cuts through several panels. The error is the cause of the
// context's end.
func Closed(ctx context.Context, p *model.Piece) ([]Placement, error) {
	folded, err := fold.Fold(ctx, p, []*model.Pose{{Name: model.PoseClosed, At: 1, Glued: true}})
	if err != nil {
		return nil, err
	}
	return folded.Poses[0].Place, nil
}

// states measures a folded piece in each of its poses but "flat": what lies
// wrong there is the blank's to tell.
func states(ctx context.Context, d *model.Design, b *blank.Blank, folded *fold.Folded) ([]*State, error) {
	boards, err := contact.New(ctx, b)
	if err != nil {
		return nil, err
	}
	poses := slices.Clone(folded.Poses)
	poses = slices.DeleteFunc(poses, func(p *fold.Pose) bool { return p.Pose.Name == model.PoseFlat })
	posed, out := make([]*contact.Posed, len(poses)), make([]*State, len(poses))
	if err := parallel.Each(ctx, len(poses), func(i int) (err error) {
		posed[i], err = boards.In(ctx, poses[i])
		return
	}); err != nil {
		return nil, err
	}
	var closed *contact.Posed
	if i := slices.IndexFunc(posed, (*contact.Posed).Closed); i >= 0 {
		closed = posed[i]
	}
	err = parallel.Each(ctx, len(poses), func(i int) (err error) {
		out[i], err = measure(ctx, d, b, posed[i], closed)
		return
	})
	return out, err
}

// measure takes all measures of a pose whose contacts are known. The pose
// "closed" is nil when the piece has none.
func measure(ctx context.Context, d *model.Design, b *blank.Blank, p, closed *contact.Posed) (*State, error) {
	s, err := newState(ctx, p, 1)
	if err != nil {
		return nil, err
	}
	steps := []func() (err error){
		func() (err error) { s.Vertices, err = contact.Vertices(ctx, b, p.Pose); return },
		func() (err error) { s.Overlaps, err = p.Overlaps(ctx, contact.OverlapLimit(p.Piece.Board)); return },
		func() (err error) { s.Gaps, err = p.Gaps(ctx, closed); return },
	}
	if p.Closed() {
		steps = append(steps,
			func() error { s.Sizes = sizes(p); return nil },
			func() (err error) { s.Slots, err = p.Slots(ctx, contact.SlotMargin); return },
			func() (err error) { s.Covers, err = p.Covers(ctx); return },
			func() (err error) { s.HolesApart, err = p.HolesApart(ctx); return },
			func() (err error) { s.Fits, err = fits(ctx, d, p); return })
	}
	return s, parallel.Steps(ctx, steps...)
}

// sizes are the sizes of a closed piece, nil when no panel has a place.
func sizes(p *contact.Posed) *Sizes {
	if s, ok := p.Sizes(); ok {
		return &s
	}
	return nil
}

// newState is what holds of a piece anywhere on its way to a pose.
func newState(ctx context.Context, p *contact.Posed, progress float64) (s *State, err error) {
	s = &State{
		Piece: p.Piece, Pose: p.Pose.Pose, Progress: progress,
		Placements: p.Pose.Place, Folds: p.Pose.Angles, Faults: p.Pose.Faults,
		Flat: p.Flat(), Penetrations: p.Penetrations, Stacks: p.Stacks, Levels: p.Levels, posed: p,
	}
	if s.Flat {
		s.Thickness = p.Thickness()
	}
	return s, err
}

// At is the piece on its way from flat to the state's pose, when the given
// folds have reached a share t, 0 to 1, of their values and the free ones have
// followed. It depends on the pose and t alone. Joins hold in poses, not on the
// way, so gaps, covers, fits and vertices are measured at 1 only. The error is
// the cause of the context's end, or that t is out of range.
func (s *State) At(ctx context.Context, t float64) (*State, error) {
	if t == s.Progress {
		return s, context.Cause(ctx)
	}
	pose, err := s.posed.Pose.Motion().At(ctx, t)
	if err != nil {
		return nil, err
	}
	posed, err := s.posed.In(ctx, pose)
	if err != nil {
		return nil, err
	}
	return newState(ctx, posed, t)
}

// Along is where the panels stand and how far the hinges are folded at a share t of the way
// to the state's pose, as in At, with nothing measured: it takes a fraction of a
// millisecond for a carton. Where some fold was not found its panels have no place.
func (s *State) Along(ctx context.Context, t float64) ([]Placement, []Fold, error) {
	pose, err := s.posed.Pose.Motion().At(ctx, t)
	if err != nil {
		return nil, nil, err
	}
	return pose.Place, pose.Angles, nil
}

// Refolded is the piece in the state's pose with some hinges folded to other angles,
// in degrees; closed is its state in the pose "closed", in which joins are made.
// Of what is measured in a pose alone it has the joins' gaps.
func (s *State) Refolded(ctx context.Context, closed *State, folds map[*model.Hinge]geom.Degrees) (*State, error) {
	pose := *s.Pose
	pose.FoldDegrees = maps.Clone(pose.FoldDegrees)
	if pose.FoldDegrees == nil {
		pose.FoldDegrees = map[*model.Hinge]geom.Degrees{}
	}
	maps.Copy(pose.FoldDegrees, folds)
	poses := []*model.Pose{&pose}
	if !s.Closed() {
		poses = []*model.Pose{closed.Pose, &pose} // what folds freely begins there
	}
	folded, err := fold.Fold(ctx, s.Piece, poses)
	if err != nil {
		return nil, err
	}
	posed, err := s.posed.In(ctx, folded.Poses[len(folded.Poses)-1])
	if err != nil {
		return nil, err
	}
	out, err := newState(ctx, posed, 1)
	if err != nil {
		return nil, err
	}
	glued := posed
	if !s.Closed() {
		glued = closed.posed
	}
	out.Gaps, err = posed.Gaps(ctx, glued)
	return out, err
}

// fits stands the contents of a closed piece in it.
func fits(ctx context.Context, d *model.Design, closed *contact.Posed) ([]Fit, error) {
	var out []Fit
	for _, c := range d.Contents {
		if c.Panel.Piece != closed.Piece {
			continue
		}
		fit, ok, err := closed.Fit(ctx, c)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, fit)
		}
	}
	return out, nil
}

// Closed reports whether it is the pose "closed".
func (s *State) Closed() bool { return s.Pose.Name == model.PoseClosed }

// Placement is where a panel of the piece stands.
func (s *State) Placement(p *model.Panel) Placement { return s.Placements[s.posed.Index(p)] }

// LiesInside reports whether panel j, which lies on panel i, is on its inside.
func (s *State) LiesInside(i, j int) bool { return s.posed.IsInside(i, j) }

// Layers goes through the pairs of panels that lie on one another, by A, then
// B. There may be as many as half the square of the panels.
func (s *State) Layers() iter.Seq[Layer] { return s.posed.Layers() }

// Penetration is how two panels cross, a < b; ok is false when they do not.
func (s *State) Penetration(a, b int) (p Penetration, ok bool) {
	i, ok := slices.BinarySearchFunc(s.Penetrations, [2]int{a, b}, func(p Penetration, q [2]int) int {
		return cmp.Or(cmp.Compare(p.A, q[0]), cmp.Compare(p.B, q[1]))
	})
	if !ok {
		return Penetration{}, false
	}
	return s.Penetrations[i], true
}

// Spot is a place well inside the common ground of two panels, on panel A, in
// the world and in the blank.
func (s *State) Spot(l Layer) (at geom.Point3, onBlank geom.Point) { return s.posed.Spot(l) }

// Fit stands other contents than the design's in the piece, which must be in
// the pose "closed"; ok is false when their panel has no place there.
func (s *State) Fit(ctx context.Context, c *model.Contents) (f Fit, ok bool, err error) {
	return s.posed.Fit(ctx, c)
}

// Contacts is what the measures were taken from, for packages of this module.
func (s *State) Contacts() *contact.Posed { return s.posed }
