package worker

import (
	"context"
	"sync"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
)

// Pool runs builds, each in a fresh process that was started ahead of need. It
// is safe for use by several goroutines.
type Pool struct {
	program string // "" for this one
	limits  limit.Set
	ahead   bool

	mu     sync.Mutex
	next   chan *process // gives one process that is being started, once
	closed bool
	ending sync.WaitGroup // of processes that have done their run
}

// New starts the first process. With ahead, another one is started after each
// run, for the next. The program's main function, and that of a test, must call
// Main before all else. Close ends the pool.
func New(limits limit.Set, ahead bool) *Pool { return NewOf("", limits, ahead) }

// NewOf is New with the processes of another program, given by its absolute path,
// whose main function calls Main as well: one that makes files of more formats.
func NewOf(program string, limits limit.Set, ahead bool) *Pool {
	p := &Pool{program: program, limits: limits.OrDefaults(), ahead: ahead}
	p.prepare()
	return p
}

// Run is engine.Run in a process of its own and within the pool's limits; those
// of the request are not looked at. A script that passes a limit is at fault as
// one with a mistake in it is; a process that fails in any other way is a
// failure of the program. Ending ctx ends the process; the error is then its
// cause, and there is no other.
func (p *Pool) Run(ctx context.Context, req engine.Request) (engine.Result, error) {
	req.Limits = p.limits
	if p.ahead {
		defer p.prepare()
	}
	res := p.run(ctx, req)
	if ctx.Err() != nil {
		return engine.Result{}, context.Cause(ctx)
	}
	return res, nil
}

func (p *Pool) run(ctx context.Context, req engine.Request) engine.Result {
	x := &exchange{req: req, served: map[string]bool{}}
	res, fault := p.exchange(ctx, x, question{})
	if fault == nil || ctx.Err() != nil {
		return res
	}
	// The fault is drawn in another process: the old drawing under it is as
	// little to be trusted as the script.
	again := &exchange{req: req, served: x.served}
	again.req.Limits[limit.Time] = min(again.req.Limits[limit.Time], faultTime)
	drawn, failed := p.exchange(ctx, again, question{Fault: (*finding)(fault)})
	if failed != nil || drawn.Exit == engine.Crashed {
		return x.told(engine.Broken, fault)
	}
	drawn.Reads = x.reads()
	return drawn
}

// faultTime is how much processor time the drawing of a fault may take, in ms:
// some twenty times what a large sheet takes to be read back.
const faultTime = 500

// exchange has one exchange with a fresh process, whose end nobody waits for.
// One that was killed while it waited for the run says nothing at all; then
// another is started.
func (p *Pool) exchange(ctx context.Context, x *exchange, q question) (engine.Result, *diag.Finding) {
	w, waited := p.take()
	defer p.ending.Go(w.end)
	res, fault := x.through(ctx, w, q)
	if !waited || x.heard || fault != nil || ctx.Err() != nil {
		return res, fault
	}
	w = start(p.program)
	defer p.ending.Go(w.end)
	return x.through(ctx, w, q)
}

// Close ends the process that waits for the next run; when it returns, no
// process of the pool's is left.
func (p *Pool) Close() {
	p.mu.Lock()
	next := p.next
	p.next, p.closed = nil, true
	p.mu.Unlock()
	if next != nil {
		(<-next).end()
	}
	p.ending.Wait()
}

// prepare begins to start a process unless one is waiting.
func (p *Pool) prepare() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || p.next != nil {
		return
	}
	next := make(chan *process, 1)
	p.next = next
	go func() { next <- start(p.program) }()
}

// take gives a process for one run: the one that waits if it still lives.
func (p *Pool) take() (w *process, waited bool) {
	p.mu.Lock()
	next := p.next
	p.next = nil
	p.mu.Unlock()
	if next != nil {
		if w := <-next; w.alive() {
			return w, true
		}
	}
	return start(p.program), false
}
