package blank_test

import (
	"context"
	"fmt"
	"log"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// A card that folds in half, built from Go, laid flat and read stroke by
// stroke.
func ExampleLay() {
	b := model.NewBuilder(nil)
	stock, err := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.3})
	if err != nil {
		log.Fatal(err)
	}
	back, err := b.Panel(nil, model.PanelSpec{Name: "back", Outline: mt.Rect(0, 0, 100, 70)})
	if err != nil {
		log.Fatal(err)
	}
	top, err := b.Edge(nil, back, "top")
	if err != nil {
		log.Fatal(err)
	}
	front, err := b.Panel(nil, model.PanelSpec{Name: "front", Outline: mt.Rect(0, 0, 100, 70), On: &top, Fold: model.Degrees(180)})
	if err != nil {
		log.Fatal(err)
	}
	if _, err := b.Cut(nil, front, mt.Disc(50, 35, 10)); err != nil {
		log.Fatal(err)
	}
	if _, err := b.Piece(nil, model.PieceSpec{Name: "card", Root: back, Board: stock, Copies: 1}); err != nil {
		log.Fatal(err)
	}
	design, err := b.Finish()
	if err != nil {
		log.Fatal(err)
	}
	laid, findings, err := blank.Lay(context.Background(), design.Pieces[0], design.Poses)
	if err != nil || len(findings) > 0 {
		log.Fatal(err, findings)
	}
	fmt.Printf("%s × %s mm\n", geom.Num(laid.Bounds.Width()), geom.Num(laid.Bounds.Height()))
	for _, layer := range laid.Layers {
		for _, s := range layer.Strokes {
			fmt.Printf("%s: %d curves, %s mm\n", layer.Kind, len(s.Curves), geom.Num(s.Length()))
		}
	}
	// Output:
	// 100 × 140 mm
	// score: 1 curves, 100 mm
	// cut: 6 curves, 480 mm
	// cut: 4 curves, 62.8319 mm
}
