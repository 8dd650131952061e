package worker

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/signal"
	"runtime"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
)

// The one argument by which the program knows that it is a child, which is asked
// at once or later. It can be no command or script of anybody's.
const (
	childArgument = "(run one build)"
	aheadArgument = "(run one build later)"
)

// Main does the work of a child and ends the program, if it was started as
// one; else it does nothing. A program whose requests have formats of its own
// gives the same ones here; nil is those of engine.
func Main(formats emit.Table) {
	if len(os.Args) != 2 || os.Args[1] != childArgument && os.Args[1] != aheadArgument {
		return
	}
	if formats == nil {
		formats = engine.Formats()
	}
	os.Exit(serve(os.Stdin, os.Stdout, formats, os.Args[1] == aheadArgument))
}

// Exit statuses of a child.
const (
	exitLost   = 3  // the parent is gone or makes no sense
	exitTime   = 11 // these two after its limit report, if there was time for one
	exitMemory = 12
)

// child is the state of a child.
type child struct {
	formats  emit.Table
	in       <-chan frame
	out      sender
	asked    int // labels so far
	position position
}

// serve answers questions until the parent ends it. A process that is asked
// later gets ready first.
func serve(in io.Reader, out io.Writer, formats emit.Table, ahead bool) int {
	signal.Ignore(parentSignals...)
	c := &child{formats: formats, in: receive(in), out: sender{out: out}, position: position{memory: shared()}}
	dog := newWatchdog(c)
	forbidFiles()
	if ahead {
		warmUp()
	}
	for {
		asked, picture := <-c.in, <-c.in
		var q question
		if asked.kind != frameQuestion || picture.kind != framePicture || json.Unmarshal(asked.body, &q) != nil {
			return exitLost
		}
		c.asked = 0
		dog.begin(q.Limits)
		res := c.answer(q, picture.body, dog)
		if err := sendResult(&c.out, res); err != nil {
			return exitLost
		}
	}
}

// receive reads frames for as long as there is a parent, and ends the process
// when there is none.
func receive(in io.Reader) <-chan frame {
	frames := make(chan frame)
	go func() {
		for {
			f, err := readFrame(in, maxToChild)
			if err != nil {
				os.Exit(exitLost)
			}
			frames <- f
		}
	}()
	return frames
}

// maxToChild is the largest frame a child takes: a text or an old preview.
const maxToChild = 64 << 20

// answer does the run. The parent that wants no answer any more ends the
// process, so that no context ends here.
func (c *child) answer(q question, picture []byte, dog *watchdog) engine.Result {
	req := engine.Request{
		Script: q.Script, Read: c.read, Params: q.Params, Limits: q.Limits, LastPreview: picture,
		Formats: c.formats.Only(q.Formats), Also: q.Also, For: q.For, Paper: q.Paper, Tests: q.Tests, Only: q.Only, Motion: q.Motion, Layout: q.Layout,
		Reached: func(at source.Site, panels int) {
			if c.position.set(at); panels > 0 {
				dog.setPanels(panels)
			}
		},
	}
	if q.Stages {
		req.Stage = func(stage string) {
			_ = c.out.send(frameStage, []byte{byte(slices.Index(engine.Stages(), stage))})
		}
	}
	if q.Fault != nil {
		res, _ := engine.Stopped(context.Background(), req, (*diag.Finding)(q.Fault))
		return res
	}
	res, _ := engine.Run(context.Background(), req)
	return res
}

// read asks the parent for a text.
func (c *child) read(label string) ([]byte, error) {
	if c.asked++; len(label) > maxLabelSize || c.asked > maxLabels {
		return nil, errors.New("there are more loads, or longer names in them, than files can have")
	}
	if err := c.out.send(frameLabel, []byte(label)); err != nil {
		os.Exit(exitLost)
	}
	switch f := <-c.in; f.kind {
	case frameText:
		return f.body, nil
	case frameAbsent:
		return nil, source.ErrAbsent
	default:
		return nil, errors.New(string(f.body))
	}
}

// warmUpScript goes once through all that a design usually goes through.
const warmUpScript = `"""Warm"""
size = param("size", 60)
card = board("card", caliper = 0.4)
front = panel("front", rect(size, 40))
right = panel("right", rect(30, 40), on = front.right)
back = panel("back", rect(size, 40), on = right.right)
left = panel("left", rect(30, 40), on = back.right)
seam = tab("seam", on = front.left, depth = 12, to = left.right)
lid = flap("lid", on = back.top, depth = 30, inset = 0.4, round = 4)
front.cut(circle(12).shift(30, 20))
contents("soap", (20, 20, 20), on = front)
pose("open", {"lid": 0})
piece("box", front, board = card)
`

// warmUpHeap is a few times what a carton takes, in bytes.
const warmUpHeap = 6 << 20

// warmUp gets the process ready for its run while nobody waits for it: code that
// has run once and memory that has been touched once save it half its time. It
// leaves nothing behind that a run could see.
func warmUp() {
	touched := make([]byte, warmUpHeap)
	for i := 0; i < len(touched); i += 1 << 10 {
		touched[i] = 1
	}
	_, _ = engine.Run(context.Background(), engine.Request{
		Script: "box.star",
		Read:   func(string) ([]byte, error) { return []byte(warmUpScript), nil },
	})
	runtime.KeepAlive(touched)
	runtime.GC() // the memory stays the process's
}
