package worker

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"sync/atomic"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// run is one exchange with a child.
type run struct {
	req    engine.Request
	served map[string]bool // labels asked for, true where there was no text

	answer *answer
	files  [][]byte
	heard  bool        // the child has said something
	passed limit.Limit // by the child's last word, −1 for none
	last   source.Site // the place in it
	panels int         // that it works on, as far as it told
	begun  time.Time
	asked  int         // labels, however often each
	given  int64       // bytes of texts
	late   atomic.Bool // it was killed for its time
	heavy  atomic.Bool // it was killed for its memory
}

// most of what one run may ask for.
const (
	mostLabels    = 10_000
	mostLabelSize = 4096     // bytes
	mostTexts     = 64 << 20 // bytes of all texts together
	mostTalk      = 16 << 20
	mostPicture   = 4 << 20 // of the last preview; a larger one is no sheet that was worth drawing

	// mostObjects is how many findings, spans and other things of several parts
	// an answer may hold, each of which takes some hundred bytes once read.
	mostObjects = 300_000
)

// errSenseless is what a child did that none of ours does.
type errSenseless string

func (e errSenseless) Error() string { return string(e) }

// through has a child do what is asked. A limit that the script passed comes
// back as a finding that is still to be drawn.
func (r *run) through(ctx context.Context, w *process, q question) (engine.Result, *diag.Finding) {
	if w.failed != nil {
		return r.crashed(fmt.Sprintf("the run could not be started: %v", w.failed), ""), nil
	}
	defer context.AfterFunc(ctx, w.kill)()
	r.passed = -1
	err := r.converse(w, q)
	if err == nil {
		var res engine.Result
		if res, err = r.checked(); err == nil {
			return res, nil
		}
	}
	w.kill()
	<-w.done
	return r.death(w, err)
}

// converse asks the question and serves the child until it has answered.
func (r *run) converse(w *process, q question) error {
	q.Script, q.Params, q.Limits = r.req.Script, r.req.Params, r.req.Limits
	q.Formats, q.Also = r.formats().Kinds(), r.req.Also
	text, err := json.Marshal(q)
	if err != nil {
		return err
	}
	r.begun = time.Now()
	deadline := time.AfterFunc(r.time()+grace, func() {
		r.late.Store(true)
		w.kill()
	})
	defer deadline.Stop()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go weigh(ctx, w.pid, systemRoom*r.req.Limits[limit.Memory], func() {
		r.heavy.Store(true)
		w.kill()
	})
	// A child that died before it read this is told by its silence.
	_ = writeFrame(w.in, aQuestion, text)
	picture := r.req.LastPreview
	if len(picture) > mostPicture {
		picture = nil
	}
	_ = writeFrame(w.in, aPicture, picture)
	// A printed byte takes up to six as JSON.
	room := r.req.Limits[limit.Output] + 6*r.req.Limits[limit.Prints] + mostTalk
	for r.answer == nil || len(r.files) < len(r.answer.Files) {
		f, err := readFrame(w.out, room)
		if err != nil {
			return err
		}
		r.heard = true
		if room -= int64(len(f.body)) + headSize; room < 0 {
			return errSenseless("it says more than it may")
		}
		if err := r.take(w, f, deadline); err != nil {
			return err
		}
	}
	return nil
}

// take deals with one frame.
func (r *run) take(w *process, f frame, deadline *time.Timer) error {
	switch {
	case f.kind == aLabel && r.answer == nil:
		return r.serve(w, string(f.body))
	case f.kind == aCount && r.answer == nil && len(f.body) == 4:
		r.panels = int(min(int64(binary.LittleEndian.Uint32(f.body)), r.req.Limits[limit.Panels]))
		deadline.Reset(time.Until(r.begun.Add(r.time() + grace)))
	case f.kind == anAnswer && r.answer == nil:
		return r.hear(f.body)
	case f.kind == aFile && r.answer != nil:
		r.files = append(r.files, f.body)
	case f.kind == aLastWord && len(f.body) > 0:
		r.passed, r.last = limit.Limit(f.body[0]), readPlace(f.body[1:])
		return errors.New("its last word")
	default:
		return errSenseless(fmt.Sprintf("it sends %q out of turn", f.kind))
	}
	return nil
}

// serve gives the child a text.
func (r *run) serve(w *process, label string) error {
	if r.asked++; len(label) > mostLabelSize || r.asked > mostLabels {
		return errSenseless("it asks for more than there can be")
	}
	text, err := r.req.Read.Text(label)
	r.served[label] = errors.Is(err, source.ErrAbsent)
	if r.given += int64(len(text)); r.given > mostTexts {
		err = fmt.Errorf("all files that are loaded have more than %d MB together", mostTexts>>20)
	}
	switch {
	case err == nil:
		_ = writeFrame(w.in, aText, text)
	case r.served[label]:
		_ = writeFrame(w.in, anAbsence, nil)
	default:
		_ = writeFrame(w.in, anError, []byte(err.Error()))
	}
	return nil // a child that died is told by its silence
}

// hear takes in the answer; the files come after it.
func (r *run) hear(text []byte) error {
	if objects(text) > mostObjects {
		return errSenseless("its answer holds more than there can be")
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	a := &answer{}
	if err := dec.Decode(a); err != nil {
		return errSenseless("its answer cannot be read")
	}
	if len(a.Files) > len(r.filesOf(a)) {
		return errSenseless("it makes more files than there can be")
	}
	r.answer = a
	return nil
}

// objects counts the objects in JSON.
func objects(text []byte) (n int) {
	quoted := false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"':
			quoted = !quoted
		case quoted && c == '\\':
			i++
		case !quoted && c == '{':
			n++
		}
	}
	return n
}

// time is how long the run may take, as far as is known of it.
func (r *run) time() time.Duration { return r.req.Limits.TimeFor(r.panels) }
