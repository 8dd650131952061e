package build

import (
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/fold"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// states are the pieces in their poses, for the report. The flat one follows
// from the blank.
func (r *run) states() []emit.State {
	var out []emit.State
	for _, piece := range r.folded {
		for _, pose := range piece.Poses {
			if pose.Pose.Name != model.PoseFlat {
				out = append(out, stateOf(piece.Piece, pose))
			}
		}
	}
	return out
}

// stateOf is one piece in one pose, as far as it was found.
func stateOf(piece *model.Piece, pose *fold.Pose) emit.State {
	s := emit.State{
		Piece: piece, Pose: pose.Pose,
		Panels: map[*model.Panel]geom.Motion3{}, Folds: map[*model.Hinge]float64{},
	}
	for i, at := range pose.Place {
		if at.OK {
			s.Panels[piece.Panels[i]] = at.Motion3
		}
	}
	for i, a := range pose.Angles {
		if a.OK {
			s.Folds[piece.Hinges[i]] = a.Degrees
		}
	}
	return s
}
