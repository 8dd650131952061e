package parallel

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
)

func TestEachRunsEachOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 100} {
		done := make([]int, n)
		if err := Each(t.Context(), n, func(i int) error { done[i]++; return nil }); err != nil {
			t.Error(err)
		}
		for i, times := range done {
			if times != 1 {
				t.Errorf("%d of %d was run %d times", i, n, times)
			}
		}
	}
}

// A panic reaches the caller, with where it happened, after all are done; one that
// comes through work within the work keeps its own place.
func TestEachPassesPanicsOn(t *testing.T) {
	var done atomic.Int64
	defer func() {
		p, ok := recover().(Panic)
		if !ok || p.Fault != "three" || !strings.Contains(string(p.Stack), "inTheDepth") || done.Load() != 19 {
			t.Errorf("%v after %d", p.Fault, done.Load())
		}
	}()
	_ = Each(t.Context(), 20, func(i int) error {
		if i == 3 {
			return Steps(t.Context(), func() error { return nil }, inTheDepth)
		}
		done.Add(1)
		return nil
	})
	t.Error("the panic was lost")
}

func inTheDepth() error { panic("three") }

// The error is that of the first by number, whichever came first in time, and the
// context's own end where no call gave one.
func TestEachGivesTheFirstError(t *testing.T) {
	slow := make(chan struct{})
	err := Each(t.Context(), 2, func(i int) error {
		if i == 0 {
			<-slow
		} else {
			close(slow)
		}
		return fmt.Errorf("error %d", i)
	})
	if err == nil || err.Error() != "error 0" {
		t.Errorf("%v, want error 0", err)
	}
	ended := errors.New("enough")
	ctx, cancel := context.WithCancelCause(t.Context())
	cancel(ended)
	if err := Each(ctx, 3, func(int) error { t.Error("begun after the end"); return nil }); err != ended {
		t.Errorf("%v, want %v", err, ended)
	}
}
