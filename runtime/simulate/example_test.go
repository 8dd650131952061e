package simulate_test

import (
	"context"
	"fmt"
	"log"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// A strip of three panels is described without a script, laid flat and folded:
// two walls lie on one another, one stands up.
func Example() {
	b := model.NewBuilder(nil)
	card, err := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.4})
	if err != nil {
		log.Fatal(err)
	}
	outline, err := geom.Rect(40, 60, 0)
	if err != nil {
		log.Fatal(err)
	}
	var last *model.Panel
	var root *model.Panel
	for i, name := range []string{"front", "back", "flag"} {
		spec := model.PanelSpec{Name: name, Outline: outline}
		if last != nil {
			on, err := b.Edge(nil, last, "right")
			if err != nil {
				log.Fatal(err)
			}
			spec.On, spec.Fold = &on, &model.Fold{Degrees: []geom.Degrees{0, 180, 90}[i]}
		}
		if last, err = b.Panel(nil, spec); err != nil {
			log.Fatal(err)
		}
		if root == nil {
			root = last
		}
	}
	if _, err = b.Piece(nil, model.PieceSpec{Name: "strip", Root: root, Board: card, Copies: 1}); err != nil {
		log.Fatal(err)
	}
	design, err := b.Finish()
	if err != nil {
		log.Fatal(err)
	}
	ctx := context.Background()
	laid, faults, err := blank.Lay(ctx, design.Pieces[0], design.Poses)
	if err != nil || len(faults) > 0 {
		log.Fatal(err, faults)
	}
	pieces, err := simulate.Run(ctx, design, []*blank.Blank{laid})
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range pieces[0].States {
		fmt.Printf("pose %s, flat: %v\n", s.Pose.Name, s.Flat)
		for i, p := range s.Piece.Panels {
			corner := s.Placements[i].Apply(geom.Point3{X: 40, Y: 60})
			fmt.Printf("  the upper right corner of %s is at %.0f, %.0f, %.0f\n", p.Name, corner.X+0, corner.Y+0, corner.Z+0)
		}
		for l := range s.Layers() {
			fmt.Printf("  %s and %s lie on one another over %.0f mm²\n", s.Piece.Panels[l.A].Name, s.Piece.Panels[l.B].Name, l.Area)
		}
		for _, p := range s.Penetrations {
			fmt.Printf("  %s and %s cross by %.2f mm\n", s.Piece.Panels[p.A].Name, s.Piece.Panels[p.B].Name, p.Depth)
		}
	}
	// Output:
	// pose closed, flat: false
	//   the upper right corner of front is at 40, 60, 0
	//   the upper right corner of back is at 0, 60, 0
	//   the upper right corner of flag is at 0, 60, 40
	//   front and back lie on one another over 2400 mm²
}
