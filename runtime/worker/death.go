package worker

import (
	"errors"
	"fmt"
	"regexp"
	"sort"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// death explains why a child gave no answer: a limit that the script passed,
// which is for the script's author, or a failure of the program.
func (r *run) death(w *process, err error) (engine.Result, *diag.Finding) {
	said := w.talk.String()
	if r.last == nil {
		r.last = readPlace(w.memory)
	}
	var odd errSenseless
	switch {
	case r.late.Load() || r.passed == limit.Time || w.code == exitTime:
		return engine.Result{}, r.limited(limit.Time, fmt.Sprintf("the run takes more than %.3g s", r.time().Seconds()), r.lateBecause())
	case r.heavy.Load() || r.passed == limit.Memory || w.code == exitMemory || starved(said) || w.peak > r.req.Limits[limit.Memory]:
		return engine.Result{}, r.limited(limit.Memory, "the run needs more than "+r.req.Limits.Amount(limit.Memory)+" of memory",
			"a list or a text may be far longer than meant")
	case strings.Contains(said, "stack overflow"):
		return engine.Result{}, r.limited(limit.Memory, "values stand within one another too deeply", "a list may hold itself over and over")
	case errors.As(err, &odd):
		return r.crashed(fmt.Sprintf("the run gave an answer that makes no sense: %v", odd), said), nil
	}
	return r.crashed(fmt.Sprintf("the run ended without an answer (%s)", w.state), said), nil
}

// starved reports whether a child died of the system's bound on its memory. Go
// says so in most cases; where it was refused memory for its own housekeeping it
// only says where it fell, which is in one of the files that do that.
func starved(said string) bool {
	for _, refused := range refusals {
		if strings.Contains(said, refused) {
			return true
		}
	}
	fell, _, _ := strings.Cut(said, "\n\ngoroutine 1 ")
	return strings.Contains(fell, "SIGSEGV") && regexp.MustCompile(`/runtime/(mgc|malloc|mheap|mcache|mcentral)\w*\.go:`).MatchString(fell)
}

// refusals are what Go and its threads say when the system gives no more; a new
// thread needs memory for its stack.
var refusals = []string{"out of memory", "cannot allocate memory", "pthread_create failed", "failed to create new OS thread"}

// lateBecause is what may have taken a run's time: the number of panels is told
// once the script itself is done.
func (r *run) lateBecause() string {
	if r.panels > 0 {
		return "the script ran to its end; what it makes takes long to lay out, fold and draw"
	}
	return "a loop may run far longer than meant"
}

func (r *run) limited(l limit.Limit, message, hint string) *diag.Finding {
	return diag.Scriptf(r.where(), "%s", message).WithHint("%s; %s", hint, r.req.Limits.Raise(l))
}

// where is the place the child had come to, as far as it can be told.
func (r *run) where() source.Site {
	for _, s := range r.last {
		if s.File == "" || !r.places(s) {
			return source.Site{{File: r.req.Script}}
		}
	}
	if len(r.last) == 0 {
		return source.Site{{File: r.req.Script}}
	}
	return r.last
}

// crashed is the result of a failure of the program.
func (r *run) crashed(message, stack string) engine.Result {
	f := &diag.Finding{
		Rule: engine.RuleCrash, Severity: diag.Error, Site: r.where(), Message: message,
		Hint: "this is no fault of the script; run it again, and report it with the script if it happens once more",
	}
	res := r.told(engine.Crashed, f)
	res.Stack = stack
	return res
}

// told is a result of which only a finding is known.
func (r *run) told(exit engine.Exit, f *diag.Finding) engine.Result {
	return engine.Result{Exit: exit, Findings: []*diag.Finding{f}, Reads: r.reads()}
}

// reads lists what the child asked for and, as far as it has said, what it took
// from the library, which it does not ask for.
func (r *run) reads() []source.Read {
	out := make([]source.Read, 0, len(r.served))
	for label, absent := range r.served {
		out = append(out, source.Read{Label: label, Absent: absent})
	}
	if r.answer != nil {
		for _, read := range r.answer.Reads {
			if _, asked := r.served[read.Label]; !asked && r.known(read.Label) {
				out = append(out, read)
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Label < out[j].Label })
	return out
}
