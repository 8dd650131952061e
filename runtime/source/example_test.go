package source_test

import (
	"errors"
	"fmt"

	"github.com/creasewright/creasewright/runtime/source"
)

// A store reads each text once, and knows afterwards what was looked for.
func ExampleStore() {
	texts := map[string]string{"box.star": "width = 60\nheight = 90\n"}
	store := source.NewStore(func(label string) ([]byte, error) {
		if text, ok := texts[label]; ok {
			return []byte(text), nil
		}
		return nil, source.ErrAbsent
	})
	_, err := store.Text("box.star")
	fmt.Println(err, store.Line("box.star", 2))
	_, err = store.Text("parts.star")
	fmt.Println(errors.Is(err, source.ErrAbsent))
	for _, read := range store.Reads() {
		fmt.Println(read.Label, read.Absent)
	}
	// Output:
	// <nil> height = 90
	// true
	// box.star false
	// parts.star true
}
