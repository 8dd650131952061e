package preview

import (
	"context"
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// laying is the stage that lays a sheet out and writes it.
func laying(in Input) func(context.Context) error {
	return func(ctx context.Context) error {
		s, err := Lay(ctx, in)
		if err != nil {
			return err
		}
		b, err := SVG(ctx, s)
		if err != nil && b != nil {
			return fmt.Errorf("a sheet beside the error %w", err)
		}
		return err
	}
}

// Law: a sheet stops being laid out or written wherever its context ends, and so
// do the pictures of a pose.
func TestSheetStops(t *testing.T) {
	for name, in := range map[string]Input{"carton": carton(), "divider": rows(6, 6, 60, 40)} {
		if looks := canceltest.Stops(t, laying(in)); looks < int64(len(in.Blanks[0].Regions)) {
			t.Errorf("%s: %d looks for %d panels", name, looks, len(in.Blanks[0].Regions))
		}
	}
	in := carton()
	posed, err := fold.Fold(context.Background(), in.Blanks[0].Piece, in.Design.Poses)
	if err != nil {
		t.Fatal(err)
	}
	closed := posed.Poses[len(posed.Poses)-1]
	canceltest.Stops(t, func(ctx context.Context) error {
		_, err := Folded(ctx, scene.Input{Blank: in.Blanks[0], Pose: closed})
		return err
	})
}

// Law: a fault drawn over the sheet of a large design is given up wherever its
// context ends, without a part of it.
func TestFaultStops(t *testing.T) {
	s, err := Lay(t.Context(), carton())
	if err != nil {
		t.Fatal(err)
	}
	last, err := SVG(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	looks := canceltest.Stops(t, func(ctx context.Context) error {
		file := Fault(ctx, lidFault(), lidLine, last)
		if file == nil {
			return context.Cause(ctx)
		}
		return nil
	})
	if looks < 10 {
		t.Errorf("%d looks for %d bytes", looks, len(last))
	}
}

// BenchmarkGap measures the longest time that passes between two looks.
func BenchmarkGap(b *testing.B) {
	in := rows(70, 70, 60, 40)
	for b.Loop() {
		canceltest.ReportGap(b, laying(in))
	}
}
