package solid

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/scene"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// link is one panel of an assembly and the hinge that it hangs by.
type link struct {
	panel  int         // in the piece
	parent int         // its link; −1 for the root
	hinge  int         // in the piece; −1 for the root
	at     geom.Point3 // the middle of the crease, on the line that it turns about, in the parent's frame
	axis   geom.Point3 // the direction of that line, unit, likewise
	lay    geom.RigidTransform
	board  body // in the panel's frame
}

// turned takes the panel's frame into the parent's when the hinge is folded by an angle.
func (l *link) turned(angle geom.Angle) geom.RigidTransform {
	return l.lay.Then(geom.RotationAbout(l.at, l.axis, angle))
}

// content is a product that stands on a panel.
type content struct {
	name  string
	on    int // its link
	frame geom.RigidTransform
	body  body
	in    []bool // by pose of the assembly: whether it stands there
}

// assembly is a piece as bodies and the hinges between them: a tree, since hinges that
// close loops hold by themselves when all others follow the folds that were found.
type assembly struct {
	piece    *simulate.Piece
	links    []link // parents first
	poses    []*simulate.State
	rest     []geom.Angle        // by link: the fold at rest
	stand    geom.RigidTransform // the root panel's frame to the standing piece's: y up, z to the front, resting on y = 0
	contents []content
}

// assemble reads a piece. At rest it is closed. Panels that have no place in the closed
// pose are left out with all that hangs on them; where that is the root, the piece lies flat and has
// all its panels and no poses. The error is the cause of the context's end.
func assemble(ctx context.Context, d *model.Design, p *simulate.Piece) (*assembly, error) {
	a := &assembly{piece: p}
	closed := p.State(model.PoseClosed)
	root := slices.Index(p.Piece.Panels, p.Piece.Root)
	if closed != nil && !closed.Placements[root].OK {
		closed = nil
	}
	if err := a.link(ctx, closed); err != nil {
		return nil, err
	}
	a.rest = make([]geom.Angle, len(a.links))
	if closed == nil {
		a.stand = a.onGround(geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Degrees(-90).Angle()))
		return a, nil
	}
	a.rest = a.angles(closed.Folds)
	for _, s := range p.States {
		if len(a.missing(s.Placements)) == 0 {
			a.poses = append(a.poses, s)
		}
	}
	in := scene.Input{
		Blank: p.Blank, Pose: closed.Contacts().Pose,
		StandsOn: d.Ground(p.Piece, closed.Pose), Foot: closed.Pose.Foot,
	}
	shown, err := scene.New(ctx, in)
	if err != nil {
		return nil, err
	}
	stand, _, _ := shown.Stand(in.StandsOn, in.Foot)
	a.stand = a.onGround(stand.Inverse())
	return a, a.addContents(ctx)
}

// link lists the panels that have a place in a state, or all for nil, and makes
// their boards.
func (a *assembly) link(ctx context.Context, closed *simulate.State) error {
	p := a.piece.Piece
	number := map[*model.Panel]int{}
	for i, panel := range p.Panels {
		number[panel] = i
	}
	hanging := make([][]int, len(p.Panels)) // hinges, by parent
	for k, h := range p.Hinges {
		if !h.Closing {
			hanging[number[h.Parent]] = append(hanging[number[h.Parent]], k)
		}
	}
	a.links = []link{{panel: number[p.Root], parent: -1, hinge: -1, lay: geom.Identity3()}}
	for i := 0; i < len(a.links); i++ {
		l := &a.links[i]
		board, err := plate(ctx, a.piece.Blank.Regions[l.panel], p.Board.Caliper, lift(closed, l.panel))
		if err != nil {
			return err
		}
		l.board = board
		for _, k := range hanging[l.panel] {
			h := p.Hinges[k]
			child := number[h.Child]
			if closed != nil && !closed.Placements[child].OK {
				continue
			}
			at := h.Curve.P.Lerp(h.Curve.Q, 0.5).Space()
			at.Z = h.AxisHeight(p.Board.Caliper)
			a.links = append(a.links, link{
				panel: child, parent: i, hinge: k,
				at: at, axis: h.Curve.Q.Sub(h.Curve.P).Unit().Space(), lay: h.ToParent.Space(),
			})
		}
	}
	return nil
}

// lift is how far out along its normal a panel's board is moved by its layer: see apart.
func lift(closed *simulate.State, panel int) float64 {
	if closed == nil || closed.Levels[panel].Stack < 0 {
		return 0
	}
	l := closed.Levels[panel]
	in := apart * float64(l.Layer)
	if l.Out.Dot(closed.Placements[panel].Normal()) > 0 {
		return -in
	}
	return in
}

// missing are the links that have no place among a piece's placements.
func (a *assembly) missing(at []simulate.Placement) (out []int) {
	for i := range a.links {
		if !at[a.links[i].panel].OK {
			out = append(out, i)
		}
	}
	return out
}

// angles are the folds of the links' hinges.
func (a *assembly) angles(folds []simulate.Fold) []geom.Angle {
	out := make([]geom.Angle, len(a.links))
	for i := range a.links {
		if k := a.links[i].hinge; k >= 0 {
			out[i] = folds[k].Degrees.Angle()
		}
	}
	return out
}

// placed is where the links' panels stand in the root panel's frame when their hinges are
// folded by these angles.
func (a *assembly) placed(angles []geom.Angle) []geom.RigidTransform {
	out := make([]geom.RigidTransform, len(a.links))
	for i := range a.links {
		out[i] = geom.Identity3()
		if l := &a.links[i]; l.parent >= 0 {
			out[i] = l.turned(angles[i]).Then(out[l.parent])
		}
	}
	return out
}

// onGround shifts the piece, turned so that it stands, so that at rest it rests on
// y = 0 with the middle of its box over the origin.
func (a *assembly) onGround(turn geom.RigidTransform) geom.RigidTransform {
	low, high := a.box(a.rest, turn)
	turn.T = turn.T.Add(geom.Point3{X: -(low.X + high.X) / 2, Y: -low.Y, Z: -(low.Z + high.Z) / 2})
	return turn
}

// box bounds the boards at some angles after a motion.
func (a *assembly) box(angles []geom.Angle, m geom.RigidTransform) (low, high geom.Point3) {
	first := true
	for i, at := range a.placed(angles) {
		to := at.Then(m)
		for _, part := range a.links[i].board {
			for _, c := range part.corners {
				p := to.Apply(c)
				if first {
					low, high, first = p, p, false
				}
				low = geom.Point3{X: min(low.X, p.X), Y: min(low.Y, p.Y), Z: min(low.Z, p.Z)}
				high = geom.Point3{X: max(high.X, p.X), Y: max(high.Y, p.Y), Z: max(high.Z, p.Z)}
			}
		}
	}
	return low, high
}

// addContents lists what stands in the closed piece, and in which poses it stands there still: not
// in those where pictures leave it out.
func (a *assembly) addContents(ctx context.Context) error {
	byPanel := map[int]int{}
	for i := range a.links {
		byPanel[a.links[i].panel] = i
	}
	number := map[*model.Contents]int{}
	for k, s := range a.poses {
		in := scene.Input{Blank: a.piece.Blank, Pose: s.Contacts().Pose}
		for _, c := range a.piece.Standing(s) {
			in.Products = append(in.Products, scene.Product(c))
		}
		shown, err := scene.New(ctx, in)
		if err != nil {
			return err
		}
		for _, c := range in.Products {
			panel := slices.Index(a.piece.Piece.Panels, c.Contents.Panel)
			on, ok := byPanel[panel]
			if !ok {
				continue
			}
			i, ok := number[c.Contents]
			if !ok {
				i = len(a.contents)
				number[c.Contents] = i
				a.contents = append(a.contents, content{
					name: c.Contents.Name, on: on, in: make([]bool, len(a.poses)),
					frame: c.Frame.Then(s.Placements[panel].Inverse()), body: prism(c.Contents.Size, c.Contents.Round),
				})
			}
			a.contents[i].in[k] = shown.Stands(c.Contents)
		}
	}
	return nil
}
