package linework

import (
	"context"
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// BenchmarkFacings lists the lines of random trees of panels and looks for
// those that run close.
func BenchmarkFacings(b *testing.B) {
	for n := 10; n <= 10000; n *= 10 {
		k := modeltest.Tree(rand.New(rand.NewSource(1)), n, geom.Identity())
		laid, _, _ := blank.Lay(context.Background(), k.Piece, k.Design.Poses)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				New(laid).Facings(3, func(*Line, *Line) float64 { return 3 }, func(Facing) {})
			}
		})
	}
}
