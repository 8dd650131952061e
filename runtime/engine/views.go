package engine

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/parallel"
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

// draw makes the folded pictures, if any file shows them: every piece in every
// pose that folds it. One that folds nothing would only show the flat blank askew.
func (r *run) draw(ctx context.Context) ([]preview.View, error) {
	if !r.isPictured() {
		return nil, nil
	}
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
			in = append(in, scene.Input{
				Blank: b, Pose: p.Contacts().Pose, Layers: layersOf(p), Rings: p.Contacts().Rings(), Piercing: check.Pierced(p),
				StandsOn: r.design.Ground(p.Piece, p.Pose), Foot: p.Pose.Foot, Products: productsIn(r.pieces[i], p),
			})
		}
	}
	out := make([]preview.View, len(in))
	err := parallel.Each(ctx, len(in), func(i int) (err error) { out[i], err = preview.Folded(ctx, in[i]); return })
	return out, err
}

// productsIn gives the products of a piece where they stand in a pose.
func productsIn(piece *simulate.Piece, s *simulate.State) []scene.Product {
	var out []scene.Product
	for _, c := range piece.Standing(s) {
		out = append(out, scene.Product(c))
	}
	return out
}

// isPictured reports whether any file that the run may make is drawn from the sheet.
func (r *run) isPictured() bool {
	return slices.ContainsFunc(r.req.Files(Clean, nil, nil), func(f emit.File) bool {
		return f.Format.From == emit.FromDesign && makers[f.Format.Kind] != nil
	})
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
