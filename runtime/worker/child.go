package worker

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

// childArgument is the one argument by which the program knows that it is a
// child. It can be no command or script of anybody's.
const childArgument = "(run one build)"

// Main does the work of a child and ends the program, if it was started as
// one; else it does nothing. A program whose requests have formats of its own
// gives the same ones here; nil is those of engine.
func Main(formats emit.Table) {
	if len(os.Args) == 2 && os.Args[1] == childArgument {
		if formats == nil {
			formats = engine.Formats()
		}
		os.Exit(serve(os.Stdin, os.Stdout, formats))
	}
}

// Codes with which a child ends.
const (
	exitDone   = 0
	exitLost   = 3  // the parent is gone or makes no sense
	exitTime   = 11 // these two after its last word, if there was time for one
	exitMemory = 12
)

// child is the state of a child.
type child struct {
	formats emit.Table
	in      <-chan frame
	out     sender
	asked   int // labels so far
	place   place
}

// serve answers one question.
func serve(in io.Reader, out io.Writer, formats emit.Table) int {
	// Ctrl-C is for the parent, whose end ends this process.
	signal.Ignore(os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	c := &child{formats: formats, in: receive(in), out: sender{out: out}, place: place{memory: shared()}}
	guard := newGuard(c)
	openNothing()
	asked := c.next()
	picture := <-c.in
	var q question
	if asked.kind != aQuestion || picture.kind != aPicture || json.Unmarshal(asked.body, &q) != nil {
		return exitLost
	}
	guard.begin(q.Limits)
	res := c.answer(q, picture.body, guard)
	if err := sendResult(&c.out, res); err != nil {
		return exitLost
	}
	return exitDone
}

// soon is how long a process waits before it takes itself to have been started
// ahead of need.
const soon = 2 * time.Millisecond

// next is the question; while there is none the process warms up.
func (c *child) next() frame {
	select {
	case f := <-c.in:
		return f
	case <-time.After(soon):
		warm()
		return <-c.in
	}
}

// receive reads frames for as long as there is a parent, and ends the process
// when there is none.
func receive(in io.Reader) <-chan frame {
	frames := make(chan frame)
	go func() {
		for {
			f, err := readFrame(in, mostToChild)
			if err != nil {
				os.Exit(exitLost)
			}
			frames <- f
		}
	}()
	return frames
}

// mostToChild is the largest frame a child takes: a text or an old preview.
const mostToChild = 64 << 20

func (c *child) answer(q question, picture []byte, g *guard) engine.Result {
	req := engine.Request{
		Script: q.Script, Read: c.read, Params: q.Params, Limits: q.Limits, LastPreview: picture,
		Formats: c.formats.Only(q.Formats), Also: q.Also,
		Reached: func(at source.Site, panels int) {
			if c.place.set(at); panels > 0 {
				g.grow(panels)
			}
		},
	}
	// The parent that wants no answer ends the process, so that no context ends here.
	ctx := context.Background()
	var res engine.Result
	if q.Fault != nil {
		res, _ = engine.Stopped(ctx, req, (*diag.Finding)(q.Fault))
	} else {
		res, _ = engine.Run(ctx, req)
	}
	return res
}

// read asks the parent for a text.
func (c *child) read(label string) ([]byte, error) {
	if c.asked++; len(label) > mostLabelSize || c.asked > mostLabels {
		return nil, errors.New("there are more loads, or longer names in them, than files can have")
	}
	if err := c.out.send(aLabel, []byte(label)); err != nil {
		os.Exit(exitLost)
	}
	switch f := <-c.in; f.kind {
	case aText:
		return f.body, nil
	case anAbsence:
		return nil, source.ErrAbsent
	default:
		return nil, errors.New(string(f.body))
	}
}
