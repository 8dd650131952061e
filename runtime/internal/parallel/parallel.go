// Package parallel does independent work on all processors, so that neither its
// errors nor its panics depend on which of it came first.
package parallel

import (
	"cmp"
	"context"
	"runtime"
	"runtime/debug"
	"sync"
)

// Panic is a panic of another goroutine's on its way through the caller that waits
// for it.
type Panic struct {
	Fault any
	Stack []byte // of the goroutine that panicked
}

// Each calls f with 0 to n−1, as many at a time as there are processors, and
// waits for all. Its error is that of the lowest number that gave one, else the
// cause of the context's end; no call begins after that end. A panic in a call
// becomes the caller's, as a Panic, that of the lowest number first.
func Each(ctx context.Context, n int, f func(int) error) error {
	var all sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	faults, errs := make([]any, n), make([]error, n)
	for i := 0; i < n && ctx.Err() == nil; i++ {
		free <- struct{}{}
		all.Go(func() {
			defer func() {
				switch fault := recover().(type) {
				case nil:
				case Panic:
					faults[i] = fault // of work within the work
				default:
					faults[i] = Panic{fault, debug.Stack()}
				}
				<-free
			}()
			errs[i] = f(i)
		})
	}
	all.Wait()
	for _, fault := range faults {
		if fault != nil {
			panic(fault)
		}
	}
	return cmp.Or(append(errs, context.Cause(ctx))...)
}

// Steps does a few different things at a time, as Each does.
func Steps(ctx context.Context, steps ...func() error) error {
	return Each(ctx, len(steps), func(i int) error { return steps[i]() })
}
