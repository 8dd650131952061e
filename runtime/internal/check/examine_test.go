package check

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// gather works out what the rules judge about a design.
func gather(d *model.Design, early []*diag.Finding) *facts {
	var blanks []*blank.Blank
	for _, p := range d.Pieces {
		b, found, _ := blank.Lay(context.Background(), p, d.Poses)
		blanks, early = append(blanks, b), append(early, found...)
	}
	facts, err := Gather(context.Background(), d, blanks, early)
	if err != nil {
		panic(err)
	}
	return facts
}

// examine runs the script in a store and every rule over what it makes.
func examine(store *source.Store, main string) (stand []*diag.Finding, waived []diag.Waived) {
	design, early := script.Run(context.Background(), store, main, script.Options{})
	if design == nil {
		return early, nil
	}
	if faults := Waivers(design); faults != nil {
		return faults, nil
	}
	stand, waived = Run(gather(design, early))
	InScriptOrder(stand, main)
	return stand, waived
}

// examineText runs one script.
func examineText(t *testing.T, text string) (stand []*diag.Finding, waived []diag.Waived) {
	t.Helper()
	store := source.NewStore(func(label string) ([]byte, error) {
		if lib, ok := stdlib.Text(label); ok {
			return lib, nil
		}
		return []byte(text), nil
	})
	return examine(store, "case.star")
}
