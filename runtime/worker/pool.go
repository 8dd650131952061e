package worker

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
)

// Use is what a pool is for, by which it goes in starting processes.
type Use int

// The uses of a pool.
const (
	Once    Use = iota // for one run at once, in a process of its own
	Batch              // for many runs, several at a time if need be; a process that did one well does more
	Waiting            // for runs now and then, each in a process that was got ready in between
)

// startDelay is how long after a run its process is ended and the one for the next run
// is started. That takes some thirty milliseconds of processor time, most of it for warming
// up, in which the caller writes the files of the run.
const startDelay = 10 * time.Millisecond

// maxRuns is how many runs of a batch one process does.
const maxRuns = 50

// Pool runs builds in processes that were started ahead of need. It is safe for
// use by several goroutines.
type Pool struct {
	program string // "" for this one
	limits  limit.Set
	use     Use

	mu     sync.Mutex
	next   chan *process // gives one process that is being started or waits, once
	spent  []*process    // did the one run they are for, and are to end
	idle   []*process    // of a batch: those that did a run well, as many at most as ran at a time
	delay  *time.Timer   // starts that process, nil when it is started already
	closed bool
	ending sync.WaitGroup // of processes that have done their run
}

// New starts the first process. The program's main function, and that of a test,
// must call Main before all else. Close ends the pool.
func New(limits limit.Set, use Use) *Pool { return NewOf("", limits, use) }

// NewOf is New with the processes of another program, given by its absolute path,
// whose main function calls Main as well: one that makes files of more formats.
func NewOf(program string, limits limit.Set, use Use) *Pool {
	p := &Pool{program: program, limits: limits.OrDefaults(), use: use}
	if program == "" {
		p.next = early.Swap(nil).process()
	}
	p.prepare(false)
	return p
}

// early is the process that StartEarly began to start, until a pool takes it.
var early atomic.Pointer[earlyStart]

// earlyStart gives one process, once.
type earlyStart struct{ started chan *process }

// process is what a pool waits for, nil when nothing was started early.
func (e *earlyStart) process() chan *process {
	if e == nil {
		return nil
	}
	return e.started
}

// StartEarly begins to start the process of the first pool of this program before
// that pool is made. Starting takes the process some milliseconds, in which the caller
// reads its command line. One that no pool takes ends with the program.
func StartEarly() {
	e := &earlyStart{make(chan *process, 1)}
	if early.CompareAndSwap(nil, e) {
		go func() { e.started <- start("", false) }()
	}
}

// Run is engine.Run in a process of its own and within the pool's limits; those
// of the request are not looked at. A script that passes a limit is at fault as
// one with a mistake in it is; a process that fails in any other way is a
// failure of the program. Ending ctx ends the process; the error is then its
// cause, and there is no other.
func (p *Pool) Run(ctx context.Context, req engine.Request) (engine.Result, error) {
	req.Limits = p.limits
	if p.use == Waiting {
		defer p.prepare(true)
	}
	res := p.run(ctx, req)
	if ctx.Err() != nil {
		return engine.Result{}, context.Cause(ctx)
	}
	return res, nil
}

func (p *Pool) run(ctx context.Context, req engine.Request) engine.Result {
	x, res, fault := p.exchange(ctx, req, question{})
	if fault == nil || ctx.Err() != nil {
		return res
	}
	// The fault is drawn in another process: the old drawing under it is as
	// little to be trusted as the script.
	req.Limits[limit.Time] = min(req.Limits[limit.Time], faultTime)
	_, drawn, failed := p.exchange(ctx, req, question{Fault: (*finding)(fault)})
	if failed != nil || drawn.Exit == engine.Crashed {
		return x.resultOf(engine.Broken, fault)
	}
	drawn.Reads = x.reads()
	return drawn
}

// faultTime is how much processor time the drawing of a fault may take, in ms:
// some twenty times what a large sheet takes to be read back.
const faultTime = 500

// exchange has one exchange with a process, for whose end nobody waits. One that
// was killed while it waited for the run says nothing at all, and one that has
// done other runs may have suffered from them; where they give no answer, a fresh
// one is asked.
func (p *Pool) exchange(ctx context.Context, req engine.Request, q question) (*exchange, engine.Result, *diag.Finding) {
	w, waited := p.get()
	x := newExchange(req)
	res, fault := x.perform(ctx, w, q)
	well := fault == nil && res.Exit != engine.Crashed && ctx.Err() == nil
	switch w.runs++; {
	case well && p.use == Batch && q.Fault == nil && w.runs < maxRuns:
		p.put(w)
	case well && p.use != Batch:
		p.leave(w)
	default:
		defer p.finish(w)
	}
	if well || ctx.Err() != nil || (!waited || x.responded) && w.runs == 1 {
		return x, res, fault
	}
	x, w = newExchange(req), start(p.program, false)
	defer p.finish(w)
	res, fault = x.perform(ctx, w, q)
	return x, res, fault
}

// finish kills a process and leaves waiting for its end to others.
func (p *Pool) finish(w *process) {
	w.kill()
	p.ending.Go(w.end)
}

// leave has a process that did its run well end later, for that takes the system some
// milliseconds, which the caller has better use for. Until then it waits for a question
// that never comes.
func (p *Pool) leave(w *process) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.spent = append(p.spent, w)
	if p.closed {
		p.clear()
	}
}

// clear ends the processes that have been left.
func (p *Pool) clear() {
	for _, w := range p.spent {
		p.finish(w)
	}
	p.spent = nil
}

// put has a process that did its run well wait for the next.
func (p *Pool) put(w *process) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		p.finish(w)
		return
	}
	p.idle = append(p.idle, w)
}

// Close ends the processes that wait for a run; when it returns, no process of
// the pool's is left, except that one which did the only run of a pool for Once has been
// killed and may not have ended yet. To wait for that takes some two milliseconds,
// after which such a caller ends itself.
func (p *Pool) Close() {
	p.mu.Lock()
	next := p.started()
	p.clear()
	for _, w := range p.idle {
		p.finish(w)
	}
	p.idle, p.closed = nil, true
	p.mu.Unlock()
	if next != nil {
		(<-next).end()
	}
	if p.use != Once {
		p.ending.Wait()
	}
}

// started takes the process that waits or is being started, if there is one. One
// whose start is still delayed is not started any more.
func (p *Pool) started() chan *process {
	next := p.next
	if p.delay != nil && p.delay.Stop() {
		next = nil
		p.clear() // what the delay would have done
	}
	p.next, p.delay = nil, nil
	return next
}

// prepare begins to start a process unless one is waiting; with ahead, that is
// done after startDelay and the process gets ready for its run.
func (p *Pool) prepare(ahead bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || p.next != nil {
		return
	}
	next := make(chan *process, 1)
	p.next = next
	if !ahead {
		go func() { next <- start(p.program, false) }()
		return
	}
	p.delay = time.AfterFunc(startDelay, func() {
		p.mu.Lock()
		p.clear()
		p.mu.Unlock()
		next <- start(p.program, true)
	})
}

// get gives a process for one run: one that waits if it still lives.
func (p *Pool) get() (w *process, waited bool) {
	for w := p.waiting(); w != nil; w = p.waiting() {
		if w.alive() {
			return w, true
		}
		p.ending.Go(w.end)
	}
	return start(p.program, false), false
}

// waiting takes a process that waits or is being started, nil when there is none.
func (p *Pool) waiting() *process {
	p.mu.Lock()
	if n := len(p.idle); n > 0 {
		w := p.idle[n-1]
		p.idle = p.idle[:n-1]
		p.mu.Unlock()
		return w
	}
	next := p.started()
	p.mu.Unlock()
	if next == nil {
		return nil
	}
	return <-next
}
