package model_test

import (
	"fmt"
	"log"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// sides is the outline of a rectangle from the origin, with its edges named.
func sides(width, height float64) geom.Path {
	corners := [...]geom.Point{{}, geom.Pt(width, 0), geom.Pt(width, height), geom.Pt(0, height)}
	p := geom.Path{Closed: true}
	for i, name := range [...]string{"bottom", "right", "top", "left"} {
		p.Edges = append(p.Edges, geom.Edge{Name: name, Curve: geom.LineFrom(corners[i], corners[(i+1)%4])})
	}
	return p
}

// A card of two panels: the front hangs on the top edge of the back, and its
// place on the blank follows from that.
func ExampleBuilder() {
	b := model.NewBuilder(nil)
	stock, err := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.3})
	if err != nil {
		log.Fatal(err)
	}
	back, err := b.Panel(nil, model.PanelSpec{Name: "back", Outline: sides(100, 70)})
	if err != nil {
		log.Fatal(err)
	}
	top, err := b.Edge(nil, back, "top")
	if err != nil {
		log.Fatal(err)
	}
	_, err = b.Panel(nil, model.PanelSpec{Name: "front", Outline: sides(100, 50), On: &top, Fold: model.Degrees(180)})
	if err != nil {
		log.Fatal(err)
	}
	if _, err := b.Piece(nil, model.PieceSpec{Name: "card", Root: back, Board: stock, Copies: 1}); err != nil {
		log.Fatal(err)
	}
	design, err := b.Finish()
	if err != nil {
		log.Fatal(err)
	}
	for _, h := range design.Pieces[0].Hinges {
		fmt.Printf("%q hangs on %q by %g mm and folds by %g°\n", h.Child.Name, h.Parent.Name, h.Curve.Length(), h.Fold.Degrees)
		fmt.Printf("its lower left corner lies at %v\n", h.Child.Flat.Apply(geom.Pt(0, 0)))
	}
	// Output:
	// "front" hangs on "back" by 100 mm and folds by 180°
	// its lower left corner lies at {0 70}
}
