package engine

import (
	"math"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// states are the pieces in their poses, for the report. The flat one follows
// from the blank.
func (r *run) states() []emit.State {
	var out []emit.State
	for _, piece := range r.pieces {
		for _, p := range piece.States {
			out = append(out, stateOf(p))
		}
	}
	return out
}

// stateOf is one piece in one pose, as far as it was found.
func stateOf(p *simulate.State) emit.State {
	piece := p.Piece
	s := emit.State{
		Piece: piece, Pose: p.Pose, Flat: p.Flat, Stack: p.Thickness,
		Panels: map[*model.Panel]geom.RigidTransform{}, Folds: map[*model.Hinge]geom.Degrees{}, Gaps: map[*model.Join]float64{},
	}
	if z := p.Sizes; z != nil {
		s.Sizes = &emit.Sizes{Outside: z.Outside}
		for k, v := range z.Inside {
			s.Sizes.Inside[k] = closedOff(v)
		}
	}
	for i, at := range p.Placements {
		if at.OK {
			s.Panels[piece.Panels[i]] = at.RigidTransform
		}
	}
	for i, a := range p.Folds {
		if a.OK {
			s.Folds[piece.Hinges[i]] = a.Degrees
		}
	}
	for _, g := range p.Gaps {
		s.Gaps[g.Join] = g.Size
	}
	return s
}

// room is how far contents can move in the closed pieces, for the report.
func (r *run) room() map[*model.Contents]emit.Room {
	out := map[*model.Contents]emit.Room{}
	for _, piece := range r.pieces {
		for _, p := range piece.States {
			for _, f := range p.Fits {
				out[f.Contents] = emit.Room{
					XMinus: closedOff(f.Free[0]), XPlus: closedOff(f.Free[1]),
					YMinus: closedOff(f.Free[2]), YPlus: closedOff(f.Free[3]), Z: closedOff(f.Free[4]),
				}
			}
		}
	}
	return out
}

// closedOff is room that ends somewhere, nil where the way is open.
func closedOff(room float64) *float64 {
	if math.IsInf(room, 1) {
		return nil
	}
	return &room
}
