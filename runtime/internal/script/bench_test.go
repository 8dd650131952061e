package script

import (
	"fmt"
	"testing"
)

func BenchmarkSleeve(b *testing.B) {
	for b.Loop() {
		if d, fs := runText(sleeveScript); d == nil {
			b.Fatal(messages(fs))
		}
	}
}

// A row of panels, each on the last one's edge.
func BenchmarkRow(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		text := fmt.Sprintf(`last = panel("0", rect(10, 10))
first = last
for i in range(1, %d):
    last = panel(str(i), rect(10, 10), on = last.right, fold = 0)
piece("row", first, board = board("card", caliper = 0.4))
`, n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if d, fs := runText(text); d == nil {
					b.Fatal(messages(fs))
				}
			}
		})
	}
}
