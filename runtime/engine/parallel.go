package engine

import (
	"context"
	"runtime"
	"runtime/debug"
	"sync"
)

// passedOn is a panic of another goroutine's on its way through its caller.
type passedOn struct {
	fault any
	stack []byte
}

// each calls f with 0 to n−1, as many at a time as there are processors, and
// waits for all. A panic in one of them becomes the caller's. No call begins
// after the context has ended, whose error is then returned.
func each(ctx context.Context, n int, f func(int)) error {
	var all sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	faults := make([]any, n)
	for i := 0; i < n && ctx.Err() == nil; i++ {
		free <- struct{}{}
		all.Go(func() {
			defer func() {
				if fault := recover(); fault != nil {
					faults[i] = passedOn{fault, debug.Stack()}
				}
				<-free
			}()
			f(i)
		})
	}
	all.Wait()
	for _, fault := range faults {
		if fault != nil {
			panic(fault)
		}
	}
	return context.Cause(ctx)
}
