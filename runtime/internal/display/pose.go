package display

import (
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// pose writes the piece in one pose, if it concerns the piece: a matrix for each panel
// and an angle for each hinge, null where none was found, and how panels lie on one
// another.
func (p *piece) pose(pose *model.Pose) {
	s := p.State(pose.Name)
	if s == nil && pose.Name != model.PoseFlat || p.ended() {
		return
	}
	places, folds := flat(p.Piece.Piece)
	levels, stacks := make([]simulate.Level, len(places)), []simulate.Stack(nil)
	for i := range levels {
		levels[i].Stack = -1
	}
	isFlat := true
	if s != nil {
		places, folds, levels, stacks, isFlat = s.Placements, s.Folds, s.Levels, s.Stacks, s.Flat
	}
	p.Open('{')
	p.Key("name").Text(pose.Name)
	p.placed(places, folds)
	p.List("layers")
	for i, l := range levels {
		out := 1 // with its outside out of the stack, or −1
		if l.Stack >= 0 && places[i].OK && places[i].Normal().Dot(l.Out) < 0 {
			out = -1
		}
		p.Open('{')
		p.Key("stack").Int(l.Stack)
		p.Key("level").Int(l.Layer)
		p.Key("out").Int(out)
		p.End('}')
	}
	p.End(']')
	p.List("stacks")
	for _, st := range stacks {
		p.Open('{')
		p.List("out")
		for _, v := range [...]float64{st.Out.X, st.Out.Y, st.Out.Z} {
			p.length(v)
		}
		p.End(']')
		p.Key("held").Int(st.Held)
		p.End('}')
	}
	p.End(']')
	if on := p.in.Design.Ground(p.Piece.Piece, pose); on != nil && on.Piece == p.Piece.Piece && s != nil {
		p.Key("standsOn").Int(p.panels[on])
	} else {
		p.Key("standsOn").Null()
	}
	p.Key("isFlat").Bool(isFlat)
	p.End('}')
}

// placed writes where panels stand, as 3×4 matrices from a panel's frame to the world,
// and how far hinges are folded, in degrees.
func (w *writer) placed(places []simulate.Placement, folds []simulate.Fold) {
	w.List("panels")
	for _, at := range places {
		if at.OK {
			w.Matrix(at.RigidTransform)
		} else {
			w.Null()
		}
	}
	w.End(']')
	w.List("folds")
	for _, a := range folds {
		if a.OK {
			w.length(float64(a.Degrees))
		} else {
			w.Null()
		}
	}
	w.End(']')
}

// flat is a piece as it lies in the blank.
func flat(p *model.Piece) ([]simulate.Placement, []simulate.Fold) {
	places, folds := make([]simulate.Placement, len(p.Panels)), make([]simulate.Fold, len(p.Hinges))
	for i, panel := range p.Panels {
		places[i] = simulate.Placement{RigidTransform: panel.Flat.Space(), OK: true}
	}
	for i := range folds {
		folds[i].OK = true
	}
	return places, folds
}
