package engine_test

import (
	"context"
	"fmt"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

const sleeve = `"""Sleeve for a candle"""
length = param("length", 90, min = 20, max = 300)
card = board("uncoated card", caliper = thou(14), gsm = 250)
front = panel("front", rect(60, length))
side = panel("side", rect(28, length), on = front.right)
piece("sleeve", front, board = card)
require(length < 200, "a sleeve longer than 200 mm does not fit the rack")
`

// A script runs from memory: texts come from any function, files and findings
// come back as values.
func Example() {
	texts := map[string]string{"sleeve.star": sleeve}
	reader := func(label string) ([]byte, error) {
		if text, ok := texts[label]; ok {
			return []byte(text), nil
		}
		return nil, source.ErrAbsent
	}
	for _, length := range []string{"3in", "250"} {
		res, err := engine.Run(context.Background(), engine.Request{
			Script: "sleeve.star", Read: reader, Params: map[string]string{"length": length},
		})
		if err != nil {
			fmt.Println(err) // the context has ended
			return
		}
		fmt.Println("length", length, "exit", res.Exit)
		for _, f := range res.Files {
			fmt.Println(" ", f.Name)
		}
		for _, f := range res.Findings {
			fmt.Println(" ", f.Severity, f)
		}
	}
	// Output:
	// length 3in exit 0
	//   sleeve.cut.svg
	//   sleeve.cut.dxf
	//   preview.svg
	//   report.json
	// length 250 exit 1
	//   preview.svg
	//   report.json
	//   error sleeve.star:7:1: a sleeve longer than 200 mm does not fit the rack
}
