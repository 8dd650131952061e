package blank_test

import (
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

func BenchmarkLay(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		for name, make := range map[string]func(*rand.Rand, int, geom.Motion) *modeltest.Known{
			"quilt": modeltest.Quilt, "bricks": modeltest.Bricks,
		} {
			k := make(rand.New(rand.NewSource(1)), n, geom.Turn(0.3, geom.Point{}))
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				for b.Loop() {
					blank.Lay(k.Piece, k.Design.Poses)
				}
			})
		}
	}
}
