package simulate_test

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// laid runs a script and lays its pieces.
func laid(t testing.TB, text string) (*model.Design, []*blank.Blank) {
	t.Helper()
	ctx := context.Background()
	store := source.NewStore(func(label string) ([]byte, error) {
		if lib, ok := stdlib.Text(label); ok {
			return lib, nil
		}
		return []byte(text), nil
	})
	d, faults := script.Run(ctx, store, "test.star", script.Options{Closed: simulate.Closed})
	if d == nil {
		t.Fatal(faults[0])
	}
	var blanks []*blank.Blank
	for _, p := range d.Pieces {
		b, _, err := blank.Lay(ctx, p, d.Poses)
		if err != nil {
			t.Fatal(err)
		}
		blanks = append(blanks, b)
	}
	return d, blanks
}

// stacked is a script of a strip of panels folded flat on one another, every
// other one shorter when uneven.
const stacked = `card = board("card", caliper = 0.2)
root = panel("p0", rect(20, 60))
last = root
for i in range(1, 40):
    last = panel("p%d" % i, rect(20 - (i % 7) / 10, 60), on = last.right, fold = 180 if i % 2 else -180)
piece("stack", root, board = card)
`

// joined is a script with joins that miss, crossing panels and a product that
// does not fit.
const joined = `card = board("card", caliper = 0.5)
base = panel("base", rect(60, 40))
front = flap("front", on = base.bottom, depth = 30)
back = flap("back", on = base.top, depth = 30)
left = flap("left", on = base.left, depth = 32)
right = flap("right", on = base.right, depth = 28)
tab("tab", on = left.left, depth = 8, to = front)
lid = flap("lid", on = back.tip, depth = 44)
tongue = flap("tongue", on = lid.tip, depth = 10, inset = 1)
tuck(tongue, into = front)
meet(right.left, back.right)
contents("thing", (58, 41, 20), on = base, clearance = 1)
pose("open", {"lid": 0})
piece("box", base, board = card)
`

// Folding and measuring stop wherever their context ends.
func TestRunStops(t *testing.T) {
	tea, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"stack": stacked, "joins": joined, "tea carton": string(tea)} {
		t.Run(name, func(t *testing.T) {
			d, blanks := laid(t, text)
			looks := canceltest.Stops(t, func(ctx context.Context) error {
				_, err := simulate.Run(ctx, d, blanks)
				return err
			})
			if looks < int64(len(d.Panels)) {
				t.Errorf("%d looks at %d panels", looks, len(d.Panels))
			}
		})
	}
}
