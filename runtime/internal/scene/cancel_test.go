package scene

import (
	"context"
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

// drawing is the stage that sets a scene up and draws it.
func drawing(in Input) func(context.Context) error {
	return func(ctx context.Context) error {
		sc, err := New(ctx, in)
		if err != nil {
			return err
		}
		p, err := sc.Draw(ctx, Front())
		if err != nil && p != nil {
			return fmt.Errorf("a picture beside the error %w", err)
		}
		return err
	}
}

// accordion is n panels folded flat on one another, a layer each.
func accordion(t testing.TB, n int) Input {
	in := folded(t, fmt.Sprintf(`
on = panel("p0", rect(40, 30))
first = on
for i in range(1, %d):
    on = panel("p%%d" %% i, rect(40, 30), on = on.top, fold = 180 if i %% 2 else -180)
piece("accordion", first, board = board("paper", caliper = 0.1))
`, n), "closed")
	for i := range n {
		in.Layers = append(in.Layers, Layer{In: i, Out: in.Pose.Place[0].Normal()})
	}
	return in
}

// Law: drawing stops wherever its context ends.
func TestDrawStops(t *testing.T) {
	for name, in := range map[string]Input{
		"tangle": tangle(rand.New(rand.NewSource(1)), 30), "sheet": folded(t, miura(3), "closed"), "accordion": accordion(t, 12),
	} {
		if looks := canceltest.Stops(t, drawing(in)); looks < int64(len(in.Blank.Regions)) {
			t.Errorf("%s: %d looks for %d panels", name, looks, len(in.Blank.Regions))
		}
	}
}

// BenchmarkGap measures the longest time that passes between two looks.
func BenchmarkGap(b *testing.B) {
	for name, in := range map[string]Input{
		"tangle": tangle(rand.New(rand.NewSource(1)), 600), "accordion": accordion(b, 600), "sheet": folded(b, miura(15), "closed"),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				canceltest.ReportGap(b, drawing(in))
			}
		})
	}
}
