package engine

import (
	"strings"
	"sync/atomic"
	"testing"
)

func TestEachRunsEachOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 100} {
		done := make([]int, n)
		_ = each(t.Context(), n, func(i int) { done[i]++ })
		for i, times := range done {
			if times != 1 {
				t.Errorf("%d of %d was run %d times", i, n, times)
			}
		}
	}
}

// A panic reaches the caller, with where it happened, after all are done.
func TestEachPassesPanicsOn(t *testing.T) {
	var done atomic.Int64
	defer func() {
		p, ok := recover().(passedOn)
		if !ok || p.fault != "three" || !strings.Contains(string(p.stack), "TestEachPassesPanicsOn") || done.Load() != 19 {
			t.Errorf("%v after %d", p.fault, done.Load())
		}
	}()
	_ = each(t.Context(), 20, func(i int) {
		if i == 3 {
			panic("three")
		}
		done.Add(1)
	})
	t.Error("the panic was lost")
}
