// Package canceltest checks that a stage of work stops when its context ends,
// without a clock: its context counts how often it is asked and ends at the
// k-th look. It serves tests only.
package canceltest

import (
	"context"
	"errors"
	"fmt"
	"math/rand"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

// ErrEnded is the cause with which a Context of this package ends.
var ErrEnded = errors.New("ended at a look")

// Context counts the calls of Done and Err, its looks, and ends at one of
// them; context.Cause counts as one. Contexts derived from it end with it, but their looks are not counted.
// It may be used by several goroutines.
type Context struct {
	context.Context
	end context.CancelCauseFunc
	at  int64 // the look at which it ends; 0 for never

	mu      sync.Mutex
	looks   int64
	last    time.Time
	longest time.Duration
}

// EndsAt is a context that ends at its k-th look with ErrEnded as its cause,
// or never when k is 0.
func EndsAt(k int64) *Context {
	inner, end := context.WithCancelCause(context.Background())
	return &Context{Context: inner, end: end, at: k, last: time.Now()}
}

// Done counts a look.
func (c *Context) Done() <-chan struct{} {
	c.look()
	return c.Context.Done()
}

// Err counts a look.
func (c *Context) Err() error {
	c.look()
	return c.Context.Err()
}

// Looks is how many looks there were.
func (c *Context) Looks() int64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.looks
}

// Longest is the longest time between two looks, or up to the first one.
func (c *Context) Longest() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.longest
}

func (c *Context) look() {
	c.mu.Lock()
	defer c.mu.Unlock()
	now := time.Now()
	c.longest, c.last = max(c.longest, now.Sub(c.last)), now
	if c.looks++; c.looks == c.at {
		c.end(ErrEnded)
	}
}

const (
	// tries is at how many looks a stage is interrupted: the first and the last
	// ones and a sample of those between.
	tries = 32

	// afterwards is how many looks a stage may still take once its context has
	// ended, as every loop of every goroutine under way has to notice: some 70 were
	// seen with two goroutines.
	afterwards = 256
)

// Stops checks that a stage of work gives no error under a context that does
// not end, and that under one that ends at the k-th look, for many k, it
// returns that context's cause after few further looks and leaves no goroutine
// blocked. It returns how many looks an undisturbed stage takes, for the
// caller to compare with the amount of work. The stage runs in a bubble of
// testing/synctest and must give the same at every call.
func Stops(t *testing.T, stage func(context.Context) error) (looks int64) {
	t.Helper()
	looks, faults := examine(t, stage)
	for _, f := range faults {
		t.Error(f)
	}
	return looks
}

// examine lists what a stage does wrong.
func examine(t *testing.T, stage func(context.Context) error) (looks int64, faults []string) {
	whole := run(t, EndsAt(0), stage)
	if whole.err != nil {
		return whole.looks, []string{fmt.Sprintf("undisturbed: %v", whole.err)}
	}
	if whole.looks == 0 {
		return 0, []string{"the stage never looks at its context"}
	}
	for _, k := range sample(whole.looks) {
		// A stage on several processors may look less often this time.
		switch got := run(t, EndsAt(k), stage); {
		case got.looks < k:
		case !errors.Is(got.err, ErrEnded):
			faults = append(faults, fmt.Sprintf("ended at look %d of %d: the error is %v", k, whole.looks, got.err))
		case got.looks > k+afterwards:
			faults = append(faults, fmt.Sprintf("ended at look %d of %d: the stage took %d more looks", k, whole.looks, got.looks-k))
		}
	}
	return whole.looks, faults
}

// outcome is what came of one run of a stage.
type outcome struct {
	err   error
	looks int64
}

func run(t *testing.T, ctx *Context, stage func(context.Context) error) (got outcome) {
	t.Helper()
	synctest.Test(t, func(*testing.T) { got.err = stage(ctx) })
	got.looks = ctx.Looks()
	return got
}

// sample is looks from 1 to n: all when they are few.
func sample(n int64) []int64 {
	var out []int64
	if n <= tries {
		for k := range n {
			out = append(out, k+1)
		}
		return out
	}
	const edge = tries / 4
	rng := rand.New(rand.NewSource(n))
	for k := range int64(edge) {
		out = append(out, k+1, n-k)
	}
	for range tries / 2 {
		out = append(out, edge+1+rng.Int63n(n-2*edge))
	}
	return out
}

// ReportGap runs a stage once and reports the longest time between two of its
// looks as a metric of the benchmark.
func ReportGap(b *testing.B, stage func(context.Context) error) {
	b.Helper()
	ctx := EndsAt(0)
	if err := stage(ctx); err != nil {
		b.Fatal(err)
	}
	_ = ctx.Err() // the stretch behind the last look counts too
	b.ReportMetric(float64(ctx.Longest())/float64(time.Millisecond), "gap-ms")
}
