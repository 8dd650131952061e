package diag_test

import (
	"fmt"
	"os"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// seam is a finding about the second line of a script.
var seam = (&diag.Finding{
	Rule: "join-gap", Severity: diag.Error, Message: `tab "seam" ends 2 mm short of its panel`,
	Site: source.Site{{File: "box.star", Line: 2, Column: 8, EndLine: 2, EndColumn: 29}}, Panel: "seam",
}).WithHint("add 2 mm to its depth")

// Findings are shown with the script lines they point to, which the caller has.
func ExampleStyle_Text() {
	lines := []string{`front = panel("front", rect(60, 90))`, `seam = tab("seam", depth = 8)`}
	style := diag.Style{Line: func(_ string, line int) string { return lines[line-1] }}
	os.Stdout.Write(style.Text([]*diag.Finding{seam}))
	// Output:
	// box.star:2:8: error: tab "seam" ends 2 mm short of its panel (join-gap)
	//      2 | seam = tab("seam", depth = 8)
	//        |        ^^^^^^^^^^^^^^^^^^^^^
	//   hint: add 2 mm to its depth
}

// Programs read findings as JSON, one to a line.
func ExampleJSON() {
	fmt.Printf("%s", diag.JSON([]*diag.Finding{seam}))
	// Output:
	// [
	// {"rule":"join-gap","severity":"error","message":"tab \"seam\" ends 2 mm short of its panel","hint":"add 2 mm to its depth","file":"box.star","line":2,"column":8,"panel":"seam"}
	// ]
}

// Too many findings are cut to the worst of them and counted.
func ExampleAtMost() {
	found := []*diag.Finding{{Severity: diag.Note}, {Severity: diag.Warning}, {Severity: diag.Error, Message: "two panels overlap"}}
	for _, f := range diag.AtMost(1, found) {
		fmt.Println(f.Severity, f.Message)
	}
	// Output:
	// error two panels overlap
	// warning and 2 findings more: 1 warning, 1 note
}
