package blank_test

import (
	"context"
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/model"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// laying is a stage that lays a piece.
func laying(p *model.Piece, poses []*model.Pose) func(context.Context) error {
	return func(ctx context.Context) error {
		b, found, err := blank.Lay(ctx, p, poses)
		if err != nil && (b != nil || found != nil) {
			return fmt.Errorf("a blank beside the error %w", err)
		}
		return err
	}
}

// worked is a random tree with a window, a perforation and a score on every
// third panel.
func worked(n int) *mt.Known {
	k := mt.Tree(rand.New(rand.NewSource(3)), n, geom.Identity())
	for i, p := range k.Piece.Panels {
		if i%3 == 0 {
			mid := p.Outline.Bounds().Mid()
			open(p, mt.Disc(mid.X, mid.Y, 3))
			a, b := mid.Add(geom.Pt(-6, 5)), mid.Add(geom.Pt(6, 5))
			p.Works = append(p.Works, &model.Work{Kind: model.Perforation, Panel: p, Path: mt.Polyline(a, b), Cut: 2, Tie: 1})
			work(p, model.ScoreLine, model.Score, mt.Polyline(mid.Add(geom.Pt(-6, -5)), mid.Add(geom.Pt(6, -5))))
		}
	}
	return k
}

// Laws: laying stops wherever its context ends, and it looks at the context in
// proportion to its work: ten times the panels are about ten times the looks.
func TestLayStops(t *testing.T) {
	looks := map[int]int64{}
	for _, n := range []int{40, 400} {
		k := worked(n)
		looks[n] = canceltest.Stops(t, laying(k.Piece, k.Design.Poses))
	}
	if ratio := float64(looks[400]) / float64(looks[40]); ratio < 5 || ratio > 15 {
		t.Errorf("%d looks for 40 panels, %d for 400", looks[40], looks[400])
	}
	// Panels that are not laid out count too.
	canceltest.Stops(t, laying(stack(300, 0), nil))
}

// BenchmarkGap measures the longest time that passes between two looks.
func BenchmarkGap(b *testing.B) {
	k := worked(10000)
	for name, p := range map[string]*model.Piece{"tree": k.Piece, "stack": stack(10000, 0)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				canceltest.ReportGap(b, laying(p, k.Design.Poses))
			}
		})
	}
}
