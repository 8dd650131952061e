package solid

import (
	"context"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// Keys of a motion.
const (
	// firstKeys is into how many parts a way is cut to begin with. No fold turns by more than
	// 12 degrees between two keys, so the shorter way between their rotations is the one meant.
	firstKeys = 16
	// finestKeys is into how many at most: what still jumps there does so in the solved
	// states too, as where only joins, which hold at the end alone, say how loops close.
	finestKeys = 256
	// strayLimit is how far in mm a corner may be off between keys: half a thin board.
	strayLimit = 0.05
)

// key is a solved state on the way to a pose.
type key struct {
	share  float64      // of the way, 0 to 1
	angles []geom.Angle // by link
}

// way lists solved states from flat to a pose, so many that a fold between two of them may be
// taken as growing evenly: in the middle between them no corner of a board is then
// further than strayLimit from where it was solved to be. States that were not found are passed
// over. The error is the cause of the context's end.
func (a *assembly) way(ctx context.Context, s *simulate.State) ([]key, error) {
	w := wayfinder{a, s, a.corners()}
	var out []key
	for i := range firstKeys + 1 {
		k, _, err := w.at(ctx, float64(i)/firstKeys)
		if err != nil {
			return nil, err
		}
		if k == nil {
			continue
		}
		if len(out) > 0 {
			if out, err = w.refine(ctx, out, *k); err != nil {
				return nil, err
			}
		}
		out = append(out, *k)
	}
	return out, nil
}

// wayfinder looks for the states of a piece on its way to a pose.
type wayfinder struct {
	*assembly
	to      *simulate.State
	corners [][]geom.Point3
}

// corners are the corners of the hull of each link's board, in its panel's frame: of all
// points of the board one of them is moved furthest, as distance is convex.
func (a *assembly) corners() [][]geom.Point3 {
	out := make([][]geom.Point3, len(a.links))
	for i := range a.links {
		for _, part := range a.links[i].board {
			if part.of != outside {
				continue
			}
			var flat []geom.Point
			for _, c := range part.corners {
				flat = append(flat, c.Plane())
			}
			for _, p := range polygon.Hull([][]geom.Point{flat}) {
				out[i] = append(out[i], p.Space())
			}
		}
	}
	return out
}

// at is the solved state at a share of the way and where its panels stand; nil where
// it was not found.
func (w *wayfinder) at(ctx context.Context, share float64) (*key, []simulate.Placement, error) {
	places, folds, err := w.to.Along(ctx, share)
	if err != nil || len(w.missing(places)) > 0 {
		return nil, nil, err
	}
	return &key{share, w.angles(folds)}, places, nil
}

// refine appends the states that are wanted between the last of the list and to.
func (w *wayfinder) refine(ctx context.Context, out []key, to key) ([]key, error) {
	from := out[len(out)-1]
	if to.share-from.share <= 1.0/finestKeys {
		return out, nil
	}
	middle, places, err := w.at(ctx, (from.share+to.share)/2)
	if middle == nil || err != nil {
		return out, err
	}
	between := make([]geom.Angle, len(w.links))
	for i := range between {
		between[i] = from.angles[i].Add(to.angles[i]).Mul(0.5)
	}
	if w.stray(w.placed(between), places) <= strayLimit {
		return out, nil
	}
	if out, err = w.refine(ctx, out, *middle); err != nil {
		return nil, err
	}
	return w.refine(ctx, append(out, *middle), to)
}

// stray is the greatest distance in mm between where corners come to and where a state of the
// piece has them.
func (w *wayfinder) stray(at []geom.RigidTransform, places []simulate.Placement) float64 {
	most := 0.0
	for i := range w.links {
		for _, c := range w.corners[i] {
			most = max(most, at[i].Apply(c).Dist(places[w.links[i].panel].Apply(c)))
		}
	}
	return most
}
