package limit_test

import (
	"fmt"
	"log"

	"github.com/creasewright/creasewright/runtime/limit"
)

// One limit raised as it is typed on the command line, the others left as they
// are.
func ExampleSet_Put() {
	set := limit.Defaults()
	if err := set.Put("memory=1GB"); err != nil {
		log.Fatal(err)
	}
	fmt.Println(set.Amount(limit.Memory))
	fmt.Println(set.Raise(limit.Memory))
	// Output:
	// 1 GB
	// --limit memory=2GB allows more
}
