package worker

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// explain says why a child gave no answer: a limit that the script passed, which
// is for the script's author, or a failure of the program.
func (x *exchange) explain(w *process, err error) (engine.Result, *diag.Finding) {
	said := w.stderr.String()
	if x.stoppedAt == nil {
		x.stoppedAt = readPosition(w.memory)
	}
	limits, panels, why := x.req.Limits, int(x.panels.Load()), x.killed.Load()
	var odd protocolError
	switch {
	case errors.As(err, &odd):
		return x.crashed(fmt.Sprintf("the run gave an answer that makes no sense: %v", odd), said), nil
	case why == overClock:
		return engine.Result{}, x.limited(limit.Time, fmt.Sprintf("the run is not done after %.3g s", limits.ClockFor(panels).Seconds()),
			"the machine may have been busy with other work")
	case why == overCPU || x.passed == limit.Time || w.status == exitTime || w.cpu > limits.TimeFor(int(limits[limit.Panels]))+grace:
		return engine.Result{}, x.limited(limit.Time, fmt.Sprintf("the run takes more than %.3g s", limits.TimeFor(panels).Seconds()), x.lateBecause())
	case why == overMemory || x.passed == limit.Memory || w.status == exitMemory || outOfMemory(said) || w.peak > limits[limit.Memory]:
		return engine.Result{}, x.limited(limit.Memory, "the run needs more than "+limits.Amount(limit.Memory)+" of memory",
			"a list or a text may be far longer than meant")
	case strings.Contains(said, "stack overflow"):
		return engine.Result{}, x.limited(limit.Memory, "values stand within one another too deeply", "a list may hold itself over and over")
	}
	return x.crashed(fmt.Sprintf("the run ended without an answer (%s)", w.state), said), nil
}

// outOfMemory reports whether a child died of the system's bound on its memory. Go
// says so in most cases; where it was refused memory for its own housekeeping it
// only says where it fell, which is in one of the files that do that.
func outOfMemory(said string) bool {
	if containsAny(said, memoryErrors) {
		return true
	}
	fell, _, _ := strings.Cut(said, "\n\ngoroutine 1 ")
	return strings.Contains(fell, "SIGSEGV") && containsAny(fell, allocatorFiles)
}

func containsAny(s string, parts []string) bool {
	return slices.ContainsFunc(parts, func(part string) bool { return strings.Contains(s, part) })
}

// memoryErrors are what Go and its threads say when the system gives no more; a new
// thread needs memory for its stack.
var memoryErrors = []string{"out of memory", "cannot allocate memory", "pthread_create failed", "failed to create new OS thread"}

// allocatorFiles is where the files of Go lie that get, give out and collect memory.
var allocatorFiles = []string{"/runtime/mgc", "/runtime/malloc", "/runtime/mheap", "/runtime/mcache", "/runtime/mcentral"}

// lateBecause is what may have taken a run's time: the number of panels is told
// once the script itself is done.
func (x *exchange) lateBecause() string {
	if x.panels.Load() > 0 {
		return "the script ran to its end; what it makes takes long to lay out, fold and draw"
	}
	return "a loop may run far longer than meant"
}

func (x *exchange) limited(l limit.Limit, message, hint string) *diag.Finding {
	return diag.Scriptf(x.position(), "%s", message).WithHint("%s; %s", hint, x.req.Limits.Raise(l))
}

// position is where the child had come to, as far as it can be told.
func (x *exchange) position() source.Site {
	for _, s := range x.stoppedAt {
		if s.File == "" || !x.knowsSpan(s) {
			return source.Site{{File: x.req.Script}}
		}
	}
	if len(x.stoppedAt) == 0 {
		return source.Site{{File: x.req.Script}}
	}
	return x.stoppedAt
}

// crashed is the result of a failure of the program.
func (x *exchange) crashed(message, stack string) engine.Result {
	f := &diag.Finding{
		Rule: engine.RuleCrash, Severity: diag.Error, Site: x.position(), Message: message,
		Hint: "this is no fault of the script; run it again, and report it with the script if it happens once more",
	}
	res := x.resultOf(engine.Crashed, f)
	res.Stack = stack
	return res
}

// resultOf gives a result of which only a finding is known.
func (x *exchange) resultOf(exit engine.Exit, f *diag.Finding) engine.Result {
	return engine.Result{Exit: exit, Findings: []*diag.Finding{f}, Reads: x.reads()}
}

// reads lists what the child asked for and, as far as it has said, what it took
// from the library, which it does not ask for.
func (x *exchange) reads() []source.Read {
	out := make([]source.Read, 0, len(x.served))
	for label, absent := range x.served {
		out = append(out, source.Read{Label: label, Absent: absent})
	}
	if x.answer != nil {
		for _, read := range x.answer.Reads {
			if _, asked := x.served[read.Label]; !asked && x.knows(read.Label) {
				out = append(out, read)
			}
		}
	}
	slices.SortFunc(out, func(a, b source.Read) int { return strings.Compare(a.Label, b.Label) })
	return out
}
