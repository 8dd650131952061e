package scene

import (
	"github.com/creasewright/creasewright/runtime/geom"
)

// stage is a pose set up before the eye.
type stage struct {
	in     Input
	view   View
	boards []*sheet
	faces  []*face
	seen   []*face // by panel of the piece; nil for one left out or edge-on
	bounds geom.Box
}

func newStage(in Input, v View) *stage {
	n := len(in.Blank.Sheets)
	s := &stage{in: in, view: v, boards: boards(in), seen: make([]*face, n), bounds: geom.EmptyBox()}
	s.lift()
	for _, b := range s.boards {
		for _, r := range b.rings {
			for _, p := range r {
				s.bounds = s.bounds.Add(v.Project(b.place.Apply(p.Space())))
			}
		}
		if f, ok := newFace(b, v); ok {
			s.faces = append(s.faces, f)
			s.seen[b.index] = f
		}
	}
	s.findNear()
	return s
}

// findNear tells every face which others it may overlap. All pairs are asked:
// a comparison of boxes costs a few nanoseconds, and even a thousand panels
// make but a million.
func (s *stage) findNear() {
	for i, f := range s.faces {
		for _, g := range s.faces[:i] {
			if f.box.Meets(g.box) {
				f.near = append(f.near, g)
				g.near = append(g.near, f)
			}
		}
	}
}
