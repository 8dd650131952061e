package check

import (
	"context"
	"os"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// designOf runs a script.
func designOf(t testing.TB, text string) *model.Design {
	t.Helper()
	store := source.NewStore(func(string) ([]byte, error) { return []byte(text), nil })
	d, found := script.Run(context.Background(), store, "case.star", script.Options{})
	if d == nil {
		t.Fatal(found)
	}
	return d
}

// crooked is a box of which much is wrong: joins that miss, crossing panels and
// a product that does not fit.
const crooked = `card = board("card", caliper = 0.5)
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

// stackOf is a strip of n panels folded flat on one another.
func stackOf(n string) string {
	return `card = board("card", caliper = 0.2)
root = panel("p0", rect(20, 60))
last = root
for i in range(1, ` + n + `):
    last = panel("p%d" % i, rect(20 - (i % 7) / 10, 60), on = last.right, fold = 180 if i % 2 else -180)
piece("stack", root, board = card)
`
}

// The rules stop wherever the context ends.
func TestRunStops(t *testing.T) {
	tea, err := os.ReadFile("../../../scripts/tea-carton.star")
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"crooked": crooked, "tea carton": string(tea), "stack": stackOf("40"), "boxes": rowOfBoxes(4), "pleats": pleats(40),
	} {
		t.Run(name, func(t *testing.T) {
			d := designOf(t, text)
			pieces, early := simulated(d, nil)
			looks := canceltest.Stops(t, func(ctx context.Context) error {
				_, _, err := Run(ctx, d, pieces, early)
				return err
			})
			if looks < int64(len(table)+len(d.Panels)) {
				t.Errorf("%d looks for %d rules and %d panels", looks, len(table), len(d.Panels))
			}
		})
	}
}
