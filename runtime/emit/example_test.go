package emit_test

import (
	"context"
	"fmt"
	"log"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// label is a design of one panel, made without a script, and its blank.
func label() (*model.Design, *blank.Blank) {
	b := model.NewBuilder(nil)
	card, err := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.4})
	if err != nil {
		log.Fatal(err)
	}
	outline, err := geom.Rect(40, 20, 2)
	if err != nil {
		log.Fatal(err)
	}
	root, err := b.Panel(nil, model.PanelSpec{Name: "label", Outline: outline})
	if err != nil {
		log.Fatal(err)
	}
	if _, err := b.Piece(nil, model.PieceSpec{Name: "label", Root: root, Board: card, Copies: 1}); err != nil {
		log.Fatal(err)
	}
	design, err := b.Finish()
	if err != nil {
		log.Fatal(err)
	}
	laid, faults, err := blank.Lay(context.Background(), design.Pieces[0], design.Poses)
	if err != nil || len(faults) > 0 {
		log.Fatal(err, faults)
	}
	return design, laid
}

// A cut file is written from a blank: true arcs, millimetres, one group for each
// kind of line.
func ExampleSVG() {
	_, laid := label()
	svg, err := emit.SVG(context.Background(), laid, false)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(strings.SplitAfterN(string(svg), "18.0000", 2)[0])
	// Output:
	// <?xml version="1.0" encoding="UTF-8"?>
	// <svg xmlns="http://www.w3.org/2000/svg" width="40.0000mm" height="20.0000mm" viewBox="0 0 40.0000 20.0000">
	// <g id="cut" fill="none" stroke="#000000" stroke-width="0.1">
	// <path d="M 2.0000 20.0000 L 38.0000 20.0000 A 2.000000000 2.000000000 0 0 0 40.0000 18.0000
}

// The report tells the same of a design to programs.
func ExampleReport() {
	design, laid := label()
	text, err := emit.Report(context.Background(), emit.Run{Script: "label.star", Design: design, Blanks: []*blank.Blank{laid}})
	if err != nil {
		log.Fatal(err)
	}
	for line := range strings.Lines(string(text)) {
		if strings.Contains(line, `"area"`) {
			fmt.Print(strings.TrimSpace(line))
			break
		}
	}
	// Output: "area": 796.566371,
}

// The table says what a run makes and when.
func ExampleTable_Files() {
	for _, f := range emit.Formats().Files(emit.WhenClean, []string{"lid", "base"}, emit.Asked{Also: []emit.Kind{emit.KindPDF}}) {
		fmt.Println(f.Name)
	}
	fmt.Println("with a fault:", emit.Formats().Files(emit.WithFault, nil, emit.Asked{})[0].Name)
	// Output:
	// lid.cut.svg
	// lid.cut.dxf
	// base.cut.svg
	// base.cut.dxf
	// preview.svg
	// preview.pdf
	// report.json
	// with a fault: preview.svg
}
