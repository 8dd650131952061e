package contact

import (
	"context"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

// Law: whenever its context ends, a measurement stops and gives the cause.
func TestMeasurementsStop(t *testing.T) {
	// Board of 1 mm: overlaps are measured of thick board only.
	f := fromScript(t, strings.ReplaceAll(tray, "card", `board("grey", caliper = 1)`)+`
meet(walls[0].right, walls[1].left)
lid = flap("lid", on = walls[0].top, depth = 20, fold = 90)
liner = flap("liner", on = lid.tip, depth = 10, fold = 180)
glue(liner, lid)
contents("goods", (60, 40, 10), on = base)
`)
	p := f.closed()
	for name, measure := range map[string]func(context.Context) error{
		"boards":   func(ctx context.Context) error { _, err := New(ctx, f.blank); return err },
		"contacts": func(ctx context.Context) error { _, err := f.boards.In(ctx, p.Pose); return err },
		"gaps":     func(ctx context.Context) error { _, err := p.Gaps(ctx, nil); return err },
		"covers":   func(ctx context.Context) error { _, err := p.Covers(ctx); return err },
		"fit":      func(ctx context.Context) error { _, _, err := p.Fit(ctx, f.design.Contents[0]); return err },
		"overlaps": func(ctx context.Context) error { _, err := p.Overlaps(ctx, 0.1); return err },
		"slots":    func(ctx context.Context) error { _, err := p.Slots(ctx, SlotMargin); return err },
		"vertices": func(ctx context.Context) error { _, err := Vertices(ctx, f.blank, p.Pose); return err },
	} {
		t.Run(name, func(t *testing.T) { canceltest.Stops(t, measure) })
	}
}
