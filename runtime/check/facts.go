package check

import (
	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/fold"
	"github.com/creasewright/creasewright/runtime/model"
)

// Facts is all that the rules judge: a design, its pieces laid flat and folded,
// and what was found on the way there. The slices run parallel to the design's
// pieces.
type Facts struct {
	Design *model.Design
	Blanks []*blank.Blank
	Folded []*fold.Folded
	// Early are findings that the stages before made themselves.
	Early []*diag.Finding
}

// poses visits every piece in every pose that was worked out, "closed" first
// and "flat" left out: what lies wrong in the flat is the blank's to tell.
func (f *Facts) poses(visit func(piece *fold.Folded, pose *fold.Pose)) {
	for _, piece := range f.Folded {
		for _, pose := range piece.Poses {
			if pose.Pose.Name != model.PoseFlat {
				visit(piece, pose)
			}
		}
	}
}
