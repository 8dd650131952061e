package contact

import (
	"context"
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/model"
)

// pleated is a strip of n panels in pleats, every other one with a flap on its
// upper edge that runs into the pleat beside it.
func pleated(n int) *model.Design {
	b := model.NewBuilder(nil)
	outline, _ := geom.Rect(20, 60, 0)
	last, err := b.Panel(nil, model.PanelSpec{Name: "0", Outline: outline})
	root := last
	for made := 1; made < n && err == nil; made++ {
		name := fmt.Sprint(made)
		switch {
		case made%3 != 0:
			on, _ := b.Edge(nil, last, "right")
			turn := model.Fold{Degrees: geom.Degrees(140 * (1 - 2*(made%3-1)))}
			last, err = b.Panel(nil, model.PanelSpec{Name: name, Outline: outline, On: &on, Fold: &turn})
		default:
			on, _ := b.Edge(nil, last, "top")
			_, err = b.Flap(nil, model.FlapSpec{Name: name, On: on, Depth: 25, TaperDegrees: model.BothAngles(5), Fold: &model.Fold{Degrees: 120}})
		}
	}
	card, _ := b.Board(nil, model.BoardSpec{Name: "card", Caliper: caliper})
	if err == nil {
		_, err = b.Piece(nil, model.PieceSpec{Name: "pleats", Root: root, Board: card, Copies: 1})
	}
	if err != nil {
		panic(err)
	}
	d, err := b.Finish()
	if err != nil {
		panic(err)
	}
	return d
}

func BenchmarkFoldAndContact(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		d := pleated(n)
		laid, _, _ := blank.Lay(context.Background(), d.Pieces[0], d.Poses)
		boards := boardsOf(b, laid)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for range b.N {
				folded, err := fold.Fold(context.Background(), d.Pieces[0], d.Poses)
				if err != nil {
					b.Fatal(err)
				}
				for _, pose := range folded.Poses {
					posed(boards, pose)
				}
			}
		})
	}
}

// A strip folded flat on itself: every panel lies on every other.
func BenchmarkFlatStack(b *testing.B) {
	for _, n := range []int{10, 100, 1000} {
		frames := make([]geom.RigidTransform, n)
		shapes := make([][][]geom.Point, n)
		for i := range frames {
			frames[i], shapes[i] = geom.Identity3(), rect(0, 0, 20, 60)
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for range b.N {
				loose(frames, shapes...)
			}
		})
	}
}

func BenchmarkFit(b *testing.B) {
	f := fromExample(b, "tea-carton.star")
	for range b.N {
		f.closed().Fit(context.Background(), f.design.Contents[0])
	}
}
