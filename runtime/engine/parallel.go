package engine

import (
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
// waits for all. A panic in one of them becomes the caller's.
func each(n int, f func(int)) {
	var all sync.WaitGroup
	free := make(chan struct{}, runtime.GOMAXPROCS(0))
	faults := make([]any, n)
	for i := range n {
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
}
