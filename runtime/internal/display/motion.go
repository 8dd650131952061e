package display

import (
	"context"
	"fmt"

	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
	"github.com/creasewright/creasewright/runtime/internal/parallel"
	"github.com/creasewright/creasewright/runtime/model"
)

// Way is the way of one piece from flat to one of its poses.
type Way struct {
	Piece int       // its number in the design
	Pose  string    // the pose's name
	Share []float64 // how far on the way, 0 to 1 each: see fold.Motion
}

// Motion folds the piece and gives its states on the way as one JSON object on one
// line. Nothing is measured there, so that states come in a few milliseconds. A way
// that the design does not have is an error that says so; else the error is the
// context's cause.
func Motion(ctx context.Context, d *model.Design, way Way) ([]byte, error) {
	if way.Piece < 0 || way.Piece >= len(d.Pieces) {
		return nil, fmt.Errorf("there is no piece %d", way.Piece)
	}
	piece := d.Pieces[way.Piece]
	motion, err := motionTo(ctx, d, piece, way.Pose)
	if err != nil {
		return nil, err
	}
	states := make([][]byte, len(way.Share))
	err = parallel.Each(ctx, len(states), func(i int) error {
		s, err := motion(way.Share[i])
		if err == nil {
			states[i] = stateText(way.Share[i], s)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	w := jsontext.Writer{}
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
	return append(w.Out, '\n'), nil
}

// motionTo gives the states on the way to a pose. "closed" is folded before it, as what
// folds freely begins there.
func motionTo(ctx context.Context, d *model.Design, piece *model.Piece, name string) (func(t float64) (*fold.Pose, error), error) {
	var poses []*model.Pose
	for _, p := range d.Poses {
		if p.Name == model.PoseClosed && name != model.PoseFlat || p.Name == name {
			poses = append(poses, p)
		}
	}
	folded, err := fold.Fold(ctx, piece, poses)
	if err != nil {
		return nil, err
	}
	for _, p := range folded.Poses {
		if p.Pose.Name == name {
			return func(t float64) (*fold.Pose, error) { return p.Motion().At(ctx, t) }, nil
		}
	}
	return nil, fmt.Errorf("%s has no pose %q", piece.Name, name)
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
