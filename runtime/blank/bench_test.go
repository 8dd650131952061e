package blank_test

import (
	"context"
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// BenchmarkLay lays blanks of straight edges, as cartons have, and of edges of
// which two thirds are arcs and curves.
func BenchmarkLay(b *testing.B) {
	for _, kind := range []struct {
		name string
		make func(*rand.Rand, int, geom.Isometry) *modeltest.Known
	}{{"straight", modeltest.Bricks}, {"curved", modeltest.Quilt}} {
		for _, n := range []int{10, 100, 1000, 10000} {
			k := kind.make(rand.New(rand.NewSource(1)), n, geom.Rotation(geom.Radians(0.3), geom.Point{}))
			b.Run(fmt.Sprintf("%s/%d", kind.name, n), func(b *testing.B) {
				for b.Loop() {
					blank.Lay(context.Background(), k.Piece, k.Design.Poses)
				}
			})
		}
	}
}
