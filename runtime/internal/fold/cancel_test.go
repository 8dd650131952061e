package fold

import (
	"context"
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/model"
)

// Folding stops wherever its context ends: in loops that close, in loops that
// do not and are searched for other sides and cures, and in joins.
func TestFoldStops(t *testing.T) {
	pieces := map[string]*model.Piece{
		"miura":      sheet(miura(2, 10, 10, 60), miuraFolds(2, 90)),
		"wrong side": sheet(ring(60, 80, 120, 100), ringFolds(given(70), free(model.In), free(model.In), free(model.In))),
		"overgiven":  sheet(ring(60, 80, 120, 100), ringFolds(given(70), given(70), given(60), given(60))),
		"tray":       foldScript(t, fmt.Sprintf(webbedTray, 60.0)).piece,
	}
	for name, p := range pieces {
		t.Run(name, func(t *testing.T) {
			looks := canceltest.Stops(t, func(ctx context.Context) error {
				_, err := Fold(ctx, p, []*model.Pose{closedPose()})
				return err
			})
			if looks < int64(len(p.Panels)) {
				t.Errorf("%d looks at %d panels", looks, len(p.Panels))
			}
		})
	}
}
