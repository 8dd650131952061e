package board_test

import (
	"fmt"
	"log"

	"github.com/creasewright/creasewright/runtime/board"
)

// How far apart two folds stand for 60 mm of clear room between them, and what
// a square decimetre of the board weighs.
func ExampleBoard_SpanInside() {
	gsm := 450.0
	b, err := board.New(board.Board{Name: "carton", Kind: board.Coated, Caliper: 0.5, GSM: &gsm})
	if err != nil {
		log.Fatal(err)
	}
	creased, err := b.SpanInside(60, board.AboutMiddle)
	if err != nil {
		log.Fatal(err)
	}
	grooved, err := b.SpanInside(60, board.AboutOutside)
	if err != nil {
		log.Fatal(err)
	}
	grams, _ := b.Mass(100 * 100)
	fmt.Printf("creased %.1f mm, grooved %.1f mm, %.1f g\n", creased, grooved, grams)
	// Output: creased 60.5 mm, grooved 61.0 mm, 4.5 g
}
