package scene

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Scene is a piece standing in a pose, to be drawn from any side.
type Scene struct {
	in      Input
	boards  []*sheet
	strokes []stroke
}

// New sets a piece up in its pose. Panels that have no place in it, or no
// board, are left out. An error is that of a context which has ended.
func New(ctx context.Context, in Input) (*Scene, error) {
	s := &Scene{in: in, boards: boards(in)}
	hinges := s.hinges()
	s.lift(ctx, hinges)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	s.strokes = s.trace(hinges)
	return s, nil
}

// stage is a scene before the eye.
type stage struct {
	*Scene
	view   View
	faces  []*face
	seen   []*face // by panel of the piece; nil for one left out or edge-on
	bounds geom.Box
}

// from is the scene as it is seen from one side.
func (sc *Scene) from(v View) *stage {
	s := &stage{Scene: sc, view: v, seen: make([]*face, len(sc.in.Blank.Sheets)), bounds: geom.EmptyBox()}
	for _, b := range s.boards {
		for _, p := range b.hull {
			s.bounds = s.bounds.Add(v.Project(b.place.Apply(p.Space())))
		}
		if f, ok := newFace(b, v); ok {
			s.faces = append(s.faces, f)
			s.seen[b.index] = f
		}
	}
	s.findNear()
	return s
}

// findNear tells every face which others it may overlap, in their order: the
// broad phase of hidden-surface removal.
func (s *stage) findNear() {
	boxes := make([]geom.Box, len(s.faces))
	for i, f := range s.faces {
		boxes[i] = f.box
	}
	tree := geom.NewBoxTree(boxes)
	var found []int
	for i, f := range s.faces {
		found = tree.Intersecting(f.box, found[:0])
		slices.Sort(found)
		f.near = make([]*face, 0, len(found)-1)
		for _, j := range found {
			if j != i {
				f.near = append(f.near, s.faces[j])
			}
		}
	}
}
