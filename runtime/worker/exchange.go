package worker

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// exchange is the parent's side of one run in a child.
type exchange struct {
	req    engine.Request
	served map[string]bool // labels asked for, true where there was no text

	answer    *answer
	files     [][]byte
	responded bool         // the child has said something
	passed    limit.Limit  // as the child reported, −1 for none
	stoppedAt source.Site  // where it did
	panels    atomic.Int64 // that it works on, as far as it told
	stages    int          // that it has come to or left out
	asked     int          // labels, however often each
	given     int64        // bytes of texts
	killed    atomic.Int32 // why the supervisor killed it
}

func newExchange(req engine.Request) *exchange {
	return &exchange{req: req, served: map[string]bool{}}
}

// Reasons for which the supervisor kills a child.
const (
	notKilled  = iota
	overCPU    // it used more processor time than it may
	overClock  // it took far longer than that by the clock
	overMemory // it holds more memory than it may
)

// Bounds of what one run may ask for.
const (
	maxLabels    = 10_000
	maxLabelSize = 4096     // bytes
	maxTexts     = 64 << 20 // bytes of all texts together
	maxPicture   = 4 << 20  // of the last preview; a larger one is no sheet that was worth drawing
)

// protocolError is what a child did that an honest one never does.
type protocolError string

func (e protocolError) Error() string { return string(e) }

// perform has a child do what is asked. A limit that the script passed comes
// back as a finding that is still to be drawn.
func (x *exchange) perform(ctx context.Context, w *process, q question) (engine.Result, *diag.Finding) {
	if w.failed != nil {
		return x.crashed(fmt.Sprintf("the run could not be started: %v", w.failed), ""), nil
	}
	defer context.AfterFunc(ctx, w.kill)()
	x.passed = -1
	err := x.converse(w, q)
	if err == nil {
		var res engine.Result
		if res, err = x.verified(ctx); err == nil {
			return res, nil
		}
	}
	w.kill()
	<-w.done
	return x.explain(w, err)
}

// converse asks the question and serves the child until it has answered.
func (x *exchange) converse(w *process, q question) error {
	q.Script, q.Params, q.Limits = x.req.Script, x.req.Params, x.req.Limits
	q.Formats, q.Also, q.Tests, q.Only = x.req.Table().Kinds(), x.req.Also, x.req.Tests, x.req.Only
	q.For, q.Paper = x.req.For, x.req.Paper
	q.Layout = x.req.Layout
	q.Motion, q.Stages = x.req.Motion, x.req.Stage != nil
	text, err := json.Marshal(q)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(context.Background())
	var supervising sync.WaitGroup
	supervising.Go(func() { x.supervise(ctx, w) })
	defer supervising.Wait()
	defer stop()
	// A child that died before it read this is told by its silence.
	_ = writeFrame(w.in, frameQuestion, text)
	picture := x.req.LastPreview
	if len(picture) > maxPicture {
		picture = nil
	}
	_ = writeFrame(w.in, framePicture, picture)
	room := maxAnswer(x.req)
	for x.answer == nil || x.answer.More || len(x.files) < len(x.answer.Files) {
		f, err := readFrame(w.out, room)
		if err != nil {
			return err
		}
		x.responded = true
		if room -= int64(len(f.body)) + headerSize; room < 0 {
			return protocolError("it says more than it may")
		}
		if err := x.handle(w, f); err != nil {
			return err
		}
	}
	return nil
}

// handle deals with one frame.
func (x *exchange) handle(w *process, f frame) error {
	answering := x.answer != nil
	switch {
	case f.kind == frameLabel && !answering:
		return x.serve(w, string(f.body))
	case f.kind == framePanels && !answering && len(f.body) == 4:
		x.panels.Store(min(int64(binary.LittleEndian.Uint32(f.body)), x.req.Limits[limit.Panels]))
	case f.kind == frameStage && !answering && len(f.body) == 1 && x.req.Stage != nil:
		return x.enter(int(f.body[0]))
	case f.kind == frameAnswer && (!answering || x.answer.More):
		return x.receivePart(f.body)
	case f.kind == frameFile && answering && !x.answer.More:
		x.files = append(x.files, f.body)
	case f.kind == frameLimit && len(f.body) > 0:
		x.passed, x.stoppedAt = limit.Limit(f.body[0]), readPosition(f.body[1:])
		return errors.New("it passed a limit")
	default:
		return protocolError(fmt.Sprintf("it sends %q out of turn", f.kind))
	}
	return nil
}

// enter tells the stage that the child has come to. Stages follow one another, so that no
// child tells more of them than there are.
func (x *exchange) enter(stage int) error {
	all := engine.Stages()
	if stage < x.stages || stage >= len(all) {
		return protocolError("it tells of a stage out of turn")
	}
	x.stages = stage + 1
	x.req.Stage(all[stage])
	return nil
}

// serve gives the child a text.
func (x *exchange) serve(w *process, label string) error {
	if x.asked++; len(label) > maxLabelSize || x.asked > maxLabels {
		return protocolError("it asks for more than there can be")
	}
	text, err := x.req.Read.Text(label)
	x.served[label] = errors.Is(err, source.ErrAbsent)
	if x.given += int64(len(text)); x.given > maxTexts {
		err = fmt.Errorf("all files that are loaded have more than %d MB together", maxTexts>>20)
	}
	switch {
	case err == nil:
		_ = writeFrame(w.in, frameText, text)
	case x.served[label]:
		_ = writeFrame(w.in, frameAbsent, nil)
	default:
		_ = writeFrame(w.in, frameError, []byte(err.Error()))
	}
	return nil // a child that died is told by its silence
}

// receivePart takes in a part of the answer; the files come after the last.
func (x *exchange) receivePart(text []byte) error {
	if len(text) > maxPart {
		return protocolError("a part of its answer is larger than there can be")
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	part := &answer{}
	if err := dec.Decode(part); err != nil {
		return protocolError("its answer cannot be read")
	}
	for _, n := range []int{len(part.Files), len(part.Findings), len(part.Excerpts), len(part.Reads), len(part.Prints), len(part.Pieces), len(part.Cautions)} {
		if n > maxItems {
			return protocolError("a part of its answer holds more than there can be")
		}
	}
	if x.answer == nil {
		x.answer = &answer{}
	}
	x.answer.add(part)
	if !part.More && len(x.answer.Files) != len(x.expected()) {
		return protocolError("it makes other files than there can be")
	}
	return nil
}

// How often the watchdog looks from inside and the supervisor from outside. A process
// fills memory by a few megabytes in a millisecond. The supervisor is there for what
// the watchdog misses, and each look of it takes the run some time.
const (
	watchInterval     = time.Millisecond
	superviseInterval = 4 * time.Millisecond
)

// grace is how much more processor time than it is allowed a process may use to
// end of itself before it is killed.
const grace = time.Second

// systemFactor is how many times the memory of a run the system lets its process
// have, and the supervisor. That is for the one great leap that is over between
// two looks, and leaves room for what Go holds beside the heap.
const systemFactor = 2

// supervise looks at a child from outside until ctx ends, and kills it when it
// passes a limit by so much that its own watchdog cannot be at work. Newer
// kernels count memory that is laid over a reservation, as Go's is, only after
// they have granted it, so that one leap goes past their own bound; and a
// process that copies gigabytes may not come to its watchdog.
func (x *exchange) supervise(ctx context.Context, w *process) {
	m := newMeter(w.pid)
	defer m.close()
	s := usage{cpuAt: m.cpu(), clockAt: time.Now()}
	tick := time.NewTicker(superviseInterval)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		why := s.exceeded(x.req.Limits, int(x.panels.Load()), m.cpu(), time.Now())
		if m.memory() > systemFactor*x.req.Limits[limit.Memory] {
			why = overMemory
		}
		if why != notKilled {
			x.killed.Store(int32(why))
			w.kill()
			return
		}
	}
}

// usage is what a run has used of its time when it began: the processor time
// of its process, which may have been started long before, and the clock.
type usage struct {
	cpuAt   time.Duration
	clockAt time.Time
}

// exceeded reports which limit on time a run of so many panels has passed, if any,
// beyond all that its watchdog would allow it.
func (s usage) exceeded(l limit.Set, panels int, cpu time.Duration, now time.Time) int {
	switch {
	case cpu-s.cpuAt > l.TimeFor(panels)+grace:
		return overCPU
	case now.Sub(s.clockAt) > l.ClockFor(panels):
		return overClock
	}
	return notKilled
}
