package disjoint

import (
	"math/rand"
	"testing"
)

// Law: two numbers have the same first exactly where a chain of joins leads from
// one to the other, and the first is the least of them.
func TestSets(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 50 {
		const n = 40
		s, label := New(n), make([]int, n) // by number, the least it is joined to, kept by going over all
		for i := range label {
			label[i] = i
		}
		for range 30 {
			i, j := rng.Intn(n), rng.Intn(n)
			s.Join(i, j)
			a, b := min(label[i], label[j]), max(label[i], label[j])
			for k := range label {
				if label[k] == b {
					label[k] = a
				}
			}
			for k := range label {
				if s.First(k) != label[k] {
					t.Fatalf("the first of %d is %d, want %d", k, s.First(k), label[k])
				}
			}
		}
	}
}
