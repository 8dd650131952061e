package display

import (
	"context"

	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
	"github.com/creasewright/creasewright/runtime/internal/parallel"
	"github.com/creasewright/creasewright/runtime/model"
)

// Way is the way of one piece from flat to one of its poses.
type Way struct {
	Piece  int       // its number in the design
	Pose   string    // the pose's name
	Shares []float64 // how far on the way, 0 to 1 each: see fold.Motion
}

// Motion folds the piece and gives its states on the way as one JSON object on one
// line. Nothing is measured there: a state takes a fraction of a millisecond for a
// carton. ok is false when the piece has no such pose. The error is the context's cause,
// or that a share is out of range.
func Motion(ctx context.Context, d *model.Design, way Way) (text []byte, ok bool, err error) {
	pose, err := posed(ctx, d, d.Pieces[way.Piece], way.Pose)
	if pose == nil || err != nil {
		return nil, false, err
	}
	states := make([][]byte, len(way.Shares))
	if err := parallel.Each(ctx, len(states), func(i int) error {
		s, err := pose.Motion().At(ctx, way.Shares[i])
		if err == nil {
			states[i] = stateText(way.Shares[i], s)
		}
		return err
	}); err != nil {
		return nil, false, err
	}
	var w jsontext.Writer
	w.Open('{')
	w.Key("format").Text("creasewright-motion")
	w.Key("version").Int(1)
	w.Key("piece").Int(way.Piece)
	w.Key("pose").Text(way.Pose)
	w.List("states")
	for _, s := range states {
		w.Raw(s)
	}
	w.End(']')
	w.End('}')
	return append(w.Out, '\n'), true, nil
}

// posed folds a piece to a pose, and to "closed" before, as what folds freely in other
// poses begins there. It is nil when the piece has no such pose.
func posed(ctx context.Context, d *model.Design, piece *model.Piece, name string) (*fold.Pose, error) {
	var poses []*model.Pose
	for _, p := range d.Poses {
		if p.Name == name || p.Name == model.PoseClosed && name != model.PoseFlat {
			poses = append(poses, p)
		}
	}
	folded, err := fold.Fold(ctx, piece, poses)
	if err != nil {
		return nil, err
	}
	for _, p := range folded.Poses {
		if p.Pose.Name == name {
			return p, nil
		}
	}
	return nil, nil
}

// stateText is one state as JSON.
func stateText(t float64, s *fold.Pose) []byte {
	var w writer
	w.Open('{')
	w.Key("at").Exact(t)
	w.placed(s.Place, s.Angles)
	w.Key("found").Bool(len(s.Faults) == 0)
	w.End('}')
	return w.Out
}
