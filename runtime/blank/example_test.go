package blank_test

import (
	"context"
	"fmt"
	"log"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// rectangle is an outline from the origin, with its edges named.
func rectangle(width, height float64) geom.Path {
	corners := [...]geom.Point{{}, geom.Pt(width, 0), geom.Pt(width, height), geom.Pt(0, height)}
	p := geom.Path{Closed: true}
	for i, name := range [...]string{"bottom", "right", "top", "left"} {
		p.Edges = append(p.Edges, geom.Edge{Name: name, Curve: geom.LineFrom(corners[i], corners[(i+1)%4])})
	}
	return p
}

// disc is a circle of four quarters, counter-clockwise.
func disc(centre geom.Point, radius float64) geom.Path {
	p := geom.Path{Closed: true}
	from := centre.Add(geom.Pt(radius, 0))
	for i := range 4 {
		to := centre.Add(from.Sub(centre).Left())
		quarter := geom.ArcBetween(from, to, centre, geom.Degrees(90).Angle())
		p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprintf("e%d", i), Curve: quarter})
		from = to
	}
	return p
}

// A card that folds in half, built from Go, laid flat and read stroke by
// stroke.
func ExampleLay() {
	b := model.NewBuilder(nil)
	stock, err := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.3})
	if err != nil {
		log.Fatal(err)
	}
	back, err := b.Panel(nil, model.PanelSpec{Name: "back", Outline: rectangle(100, 70)})
	if err != nil {
		log.Fatal(err)
	}
	top, err := b.Edge(nil, back, "top")
	if err != nil {
		log.Fatal(err)
	}
	front, err := b.Panel(nil, model.PanelSpec{Name: "front", Outline: rectangle(100, 70), On: &top, Fold: model.Degrees(180)})
	if err != nil {
		log.Fatal(err)
	}
	if _, err := b.Cut(nil, front, disc(geom.Pt(50, 35), 10)); err != nil {
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
