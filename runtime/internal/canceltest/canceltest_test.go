package canceltest

import (
	"context"
	"errors"
	"testing"
)

// counting is a stage that looks once for each of n steps.
func counting(n int) func(context.Context) error {
	return func(ctx context.Context) error {
		for range n {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
		}
		return nil
	}
}

// A context ends at its k-th look, neither before nor later, with the cause
// told apart from a plain end; derived contexts end with it.
func TestEndsAtLook(t *testing.T) {
	c := EndsAt(3)
	derived, stop := context.WithCancel(c.Context)
	defer stop()
	for k := 1; k <= 5; k++ {
		if err := c.Err(); (err != nil) != (k >= 3) {
			t.Errorf("look %d: %v", k, err)
		}
	}
	if err := context.Cause(c); !errors.Is(err, ErrEnded) {
		t.Errorf("the cause is %v", err)
	}
	if derived.Err() == nil {
		t.Error("a derived context goes on")
	}
	if c.Looks() < 5 {
		t.Errorf("%d looks counted, want 5 and more", c.Looks())
	}
}

func TestStopsCountsLooks(t *testing.T) {
	for _, n := range []int{1, tries, tries + 1, 1000} {
		if got := Stops(t, counting(n)); got != int64(n) {
			t.Errorf("%d looks, want %d", got, n)
		}
	}
}

// Stages that do not stop as they should are told.
func TestStopsHasTeeth(t *testing.T) {
	for name, stage := range map[string]func(context.Context) error{
		"never looks": func(context.Context) error { return nil },
		"fails":       func(ctx context.Context) error { _ = ctx.Err(); return errors.New("broken") },
		"hides the end": func(ctx context.Context) error {
			_ = counting(10)(ctx)
			return nil
		},
		"gives the plain error": func(ctx context.Context) error { return ctx.Err() },
		"goes on": func(ctx context.Context) error {
			for range 2 * afterwards {
				_ = ctx.Err()
			}
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			return nil
		},
	} {
		if _, faults := examine(t, stage); len(faults) == 0 {
			t.Errorf("a stage that %s passes", name)
		}
	}
}

// Law: a sample lies within 1 to n, its first and last looks included.
func TestSampleCovers(t *testing.T) {
	for n := int64(1); n < 3000; n = n*5/4 + 1 {
		first, last := false, false
		for _, k := range sample(n) {
			if k < 1 || k > n {
				t.Fatalf("look %d of %d", k, n)
			}
			first, last = first || k == 1, last || k == n
		}
		if !first || !last {
			t.Errorf("the sample of %d lacks an end", n)
		}
	}
}
