package preview

import (
	"fmt"
	"testing"
)

// What a sheet costs: an ordinary carton, and dividers of many panels.
func BenchmarkCarton(b *testing.B) { benchmark(b, carton()) }

func BenchmarkDivider(b *testing.B) {
	for _, n := range []int{10, 32, 100} {
		b.Run(fmt.Sprint(n*n), func(b *testing.B) { benchmark(b, rows(n, n, 60, 40)) })
	}
}

func benchmark(b *testing.B, in Input) {
	for b.Loop() {
		svg(in)
	}
}
