// Command creasewright-print is started by creasewright when the sheet is asked
// for as PDF or PNG too, and runs the script in its place: it is the same run in
// the same bounds, with what it takes to draw these. It does nothing on its own.
package main

import (
	"fmt"
	"os"

	"github.com/creasewright/creasewright/runtime/engine"
	_ "github.com/creasewright/creasewright/runtime/printer" // draws PDF and PNG
	"github.com/creasewright/creasewright/runtime/worker"
)

func main() {
	worker.Main(nil)
	fmt.Fprintln(os.Stderr, "creasewright-print is started by creasewright: creasewright make SCRIPT --also pdf")
	os.Exit(int(engine.Broken))
}
