package engine

import (
	"context"
	"errors"
	"os"
	"reflect"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

// everything is a request for a design of every kind of part: panels, flaps,
// tabs, windows, free folds, joins, poses and contents.
func everything(t testing.TB) Request {
	t.Helper()
	text, err := os.ReadFile("../../scripts/tea-carton.star")
	if err != nil {
		t.Fatal(err)
	}
	return Request{Script: "tea.star", Read: from(map[string]string{"tea.star": string(text)})}
}

// throughLayers is a script of cuts through several panels, and of others that meet.
const throughLayers = `card = board("card", caliper = 0.4)
front = panel("front", rect(60, 90))
lid = panel("lid", rect(60, 50), on = front.top, fold = 180)
glue(lid, front)
for x in range(10, 50, 10):
    front.cut(circle(5).shift(x, 60), through = [lid])
front.cut(circle(5).shift(50, 70))
lid.cut(circle(5).shift(52, 20))
piece("leaf", front, board = card)
`

// Law: a run whose context ends at any of its looks gives that context's cause
// and an empty result, never part of a design; one whose context has ended
// before gives it, too.
func TestARunStopsAtEveryStage(t *testing.T) {
	req := everything(t)
	shown, moved := everything(t), everything(t)
	shown.Also = []emit.Kind{emit.KindDisplay}
	moved.Motion = &MotionRequest{Pose: "closed", Shares: []float64{0, 0.5, 1}}
	layers := Request{Script: "leaf.star", Read: from(map[string]string{"leaf.star": throughLayers})}
	for name, run := range map[string]func(context.Context) (Result, error){
		"layers": func(ctx context.Context) (Result, error) { return Run(ctx, layers) },
		"run":    func(ctx context.Context) (Result, error) { return Run(ctx, req) },
		"shown":  func(ctx context.Context) (Result, error) { return Run(ctx, shown) },
		"motion": func(ctx context.Context) (Result, error) { return Run(ctx, moved) },
		"stopped": func(ctx context.Context) (Result, error) {
			return Stopped(ctx, req, mustRun(Request{Script: "x.star", Read: from(nil)}).Findings[0])
		},
	} {
		looks := canceltest.Stops(t, func(ctx context.Context) error {
			res, err := run(ctx)
			if err != nil && !reflect.DeepEqual(res, Result{}) {
				t.Errorf("%s: a result with exit %d and %d files beside the error", name, res.Exit, len(res.Files))
			}
			return err
		})
		t.Logf("%s: %d looks", name, looks)
		over, end := context.WithCancelCause(context.Background())
		cause := errors.New("nobody waits")
		end(cause)
		if res, err := run(over); err != cause || !reflect.DeepEqual(res, Result{}) {
			t.Errorf("%s: ended beforehand: exit %d, %v", name, res.Exit, err)
		}
	}
}

// The longest time between two looks bounds how long a run goes on that nobody
// wants any more.
func BenchmarkGap(b *testing.B) {
	for name, req := range map[string]Request{
		"everything": everything(b),
		"panels":     {Script: "c.star", Read: from(map[string]string{"c.star": concertina(3000)})},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				canceltest.ReportGap(b, func(ctx context.Context) error {
					_, err := Run(ctx, req)
					return err
				})
			}
		})
	}
}
