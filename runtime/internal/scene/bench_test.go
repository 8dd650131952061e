package scene

import (
	"fmt"
	"math/rand"
	"testing"
)

// Sheets fold apart and hide little of one another; a tangle is the hard case,
// every panel before or behind many others.
func BenchmarkDraw(b *testing.B) {
	poses := map[string]Input{}
	for _, n := range []int{10, 60, 100, 400} {
		poses[fmt.Sprintf("tangle of %d", n)] = tangle(rand.New(rand.NewSource(1)), n)
	}
	for _, n := range []int{2, 5, 10} {
		poses[fmt.Sprintf("sheet of %d", 4*n*n)] = folded(b, miura(n), "closed")
	}
	poses["tea carton"] = folded(b, example(b, "tea-carton.star"), "closed")
	for name, in := range poses {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				pictured(in, Front())
			}
		})
	}
}
