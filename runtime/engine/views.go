package engine

import (
	"cmp"
	"context"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/internal/scene"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// Panels on one folded picture and on all of them together. More than that
// nobody can tell apart on a sheet of paper; a picture of a thousand takes some
// 0.3 s of the two that a run has by default.
const (
	mostOnPicture = 1000
	mostPictured  = 3000
)

// views are the folded pictures: every piece in every pose that folds it. One
// that folds nothing would only show the flat blank askew.
func (r *run) views(ctx context.Context, found []*diag.Finding) ([]preview.View, error) {
	var in []scene.Input
	pictured := 0
	for i, b := range r.blanks {
		panels := len(b.Piece.Panels)
		for _, p := range r.pieces[i].States {
			if !foldsAnything(p) || panels > mostOnPicture || pictured+panels > mostPictured {
				continue
			}
			pictured += panels
			r.arrive(b.Piece)
			in = append(in, scene.Input{Blank: b, Pose: p.Contacts().Pose, Layers: layersOf(p), Rings: p.Contacts().Rings(), Piercing: check.Pierced(p)})
		}
	}
	out, errs := make([]preview.View, len(in)), make([]error, len(in))
	err := each(ctx, len(in), func(i int) { out[i], errs[i] = preview.Folded(ctx, in[i], found) })
	return out, cmp.Or(append(errs, err)...)
}

func foldsAnything(p *simulate.State) bool {
	for _, a := range p.Folds {
		if a.OK && a.Degrees != 0 {
			return true
		}
	}
	return false
}

// layersOf passes on how the panels of a pose lie on one another.
func layersOf(p *simulate.State) []scene.Layer {
	out := make([]scene.Layer, len(p.Levels))
	for i, l := range p.Levels {
		out[i] = scene.Layer{In: l.Layer, Out: l.Out}
		if l.Stack >= 0 {
			out[i].In -= p.Stacks[l.Stack].Held
		}
	}
	return out
}
