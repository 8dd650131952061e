package display_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/display"
	"github.com/creasewright/creasewright/runtime/model"
)

// BenchmarkJSON is what showing a run costs beside the run itself.
func BenchmarkJSON(b *testing.B) {
	for _, n := range []int{15, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			in, _ := input(b, 1, n)
			b.ReportAllocs()
			for b.Loop() {
				b.SetBytes(int64(len(text(b, in))))
			}
		})
	}
}

// BenchmarkMotion is one state on the way of a tree, with the folding of the piece.
func BenchmarkMotion(b *testing.B) {
	for _, n := range []int{15, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			in, _ := input(b, 1, n)
			for b.Loop() {
				if _, ok, err := display.Motion(context.Background(), in.Design, display.Way{Pose: model.PoseClosed, Shares: []float64{0.5}}); !ok || err != nil {
					b.Fatal(ok, err)
				}
			}
		})
	}
}

// BenchmarkGap measures the longest time that passes between two looks at the context.
func BenchmarkGap(b *testing.B) {
	in, _ := input(b, 1, 1000)
	canceltest.ReportGap(b, func(ctx context.Context) error { _, err := display.JSON(ctx, in); return err })
}
