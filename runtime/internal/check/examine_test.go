package check

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// simulated lays a design and simulates it.
func simulated(d *model.Design, early []*diag.Finding) ([]*simulate.Piece, []*diag.Finding) {
	ctx := context.Background()
	var blanks []*blank.Blank
	for _, p := range d.Pieces {
		b, found, err := blank.Lay(ctx, p, d.Poses)
		if err != nil {
			panic(err)
		}
		blanks, early = append(blanks, b), append(early, found...)
	}
	pieces, err := simulate.Run(ctx, d, blanks)
	if err != nil {
		panic(err)
	}
	return pieces, early
}

// gather works out what the rules judge about a design.
func gather(d *model.Design, early []*diag.Finding) *facts {
	pieces, early := simulated(d, early)
	return newFacts(context.Background(), d, pieces, early)
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
	pieces, early := simulated(design, early)
	stand, waived, err := Run(context.Background(), design, pieces, early)
	if err != nil {
		panic(err)
	}
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
